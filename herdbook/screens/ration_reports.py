"""The reports of the ration desk: was it fed as set, how sure is it, what if a feed is wetter, versions, analyses."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.screens import keys
from herdbook.screens.book_place import BookPlace
from herdbook.screens.sheet import Choice

if TYPE_CHECKING:
    from herdbook.book.reading.rations import Version

REPORTS_KEY = keys.Key(
    "ration.reports",
    "r",
    "reports",
    "reports",
    "Was it fed as set, how sure is it, what if a feed is wetter; versions side by side, analyses, the store.",
)


class RationReports(BookPlace):
    """Lists the reports of the ration in view and of the chosen feed; the chosen one covers the body."""

    @property
    def version(self) -> Version | None:
        """The version in use of the ration in view."""
        raise NotImplementedError

    @property
    def chosen_feed(self) -> int | None:
        """The feed in whose row the cursor is."""
        raise NotImplementedError

    @property
    def pens_of_ration(self) -> Sequence[str]:
        """The pens that get the ration in view."""
        raise NotImplementedError

    def action_reports(self) -> None:
        """List what can be told of the ration in view, its pens and the chosen feed."""
        version, ground = self.version, self.ground
        if version is None or ground is None:
            self.say("No ration is in use yet. E writes one.")
            return
        choices = [
            (plain(words), self._shower(name, texts, words)) for words, name, texts in self._tellable(ground)
        ]
        choices.insert(len(self.pens_of_ration) * 2 + 1, ("Two versions side by side", self._choose_earlier))
        self.open_sheet("REPORTS", "Enter or the number shows it, Esc closes", (), choices)

    def _tellable(self, ground: Ground) -> list[tuple[str, str, Mapping[str, str]]]:
        """Words, report and options, in the order they are listed."""
        assert self.version is not None
        ration = ground.name_of("ration", self.version.ration)
        found: list[tuple[str, str, Mapping[str, str]]] = []
        for pen in self.pens_of_ration:
            found.append((f"Set, mixed, dropped, eaten: {pen}", "evaluation", {"pen": pen, "which": "all"}))
            found.append((f"As eaten, and how sure: {pen}", "evaluation", {"pen": pen, "which": "eaten"}))
        found.append(("A wet feed 1 to 5 points drier or wetter", "sensitivity", {"name": ration}))
        found.append(("Targets, why, and what they were", "targets", {"name": ration}))
        found.append(("The sheet for the mixer", "ration-sheet", {"name": ration}))
        if self.chosen_feed is not None:
            feed = ground.name_of("feed", self.chosen_feed)
            found.append((f"Analyses of {feed}", "feed-analyses", {"feed": feed}))
            found.append((f"Dry matter of {feed}", "dry-matter", {"feed": feed}))
        found.append(("The feed store", "stock", {}))
        return found

    def _shower(self, name: str, texts: Mapping[str, str], words: str) -> Callable[[], None]:
        def show() -> None:
            self._show_report(name, texts, words)

        return show

    def _show_report(self, name: str, texts: Mapping[str, str], words: str) -> None:
        """Read a report and lay it over the body."""
        self.read_report(name, texts, heading=(plain(words).upper(), "Esc closes"))

    # -- two versions --

    def _choose_earlier(self) -> None:
        """Choose two versions, the earlier one first."""
        version = self.version
        assert version is not None
        if version.version < 2:
            self.close_sheet()
            self.say("There is one version yet: nothing stands beside it.")
            return
        self._choose("EARLIER VERSION", range(version.version - 1, 0, -1), self._choose_later)

    def _choose_later(self, earlier: int) -> None:
        version = self.version
        assert version is not None
        self._choose(
            f"BESIDE VERSION {earlier}",
            range(version.version, earlier, -1),
            lambda later: self._show_difference(earlier, later),
        )

    def _choose(self, title: str, numbers: Sequence[int], then: Callable[[int], Any]) -> None:
        choices: list[Choice] = [(f"Version {number}", _with(then, number)) for number in numbers]
        self.open_sheet(title, "Enter or the number takes it, Esc closes", (), choices)

    def _show_difference(self, earlier: int, later: int) -> None:
        assert self.version is not None
        assert self.ground is not None
        ration = self.ground.name_of("ration", self.version.ration)
        texts = {"name": ration, "from": str(earlier), "to": str(later)}
        self._show_report("ration-difference", texts, f"Version {earlier} and {later}")


def _with(then: Callable[[int], Any], number: int) -> Callable[[], None]:
    def do() -> None:
        then(number)

    return do

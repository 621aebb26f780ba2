"""The desk in the Ration place: drafts beside the version in use, kept until U uses them or they are thrown away."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from rich.text import Text

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.screens import keys
from herdbook.screens.ration_binding import BIND_KEY
from herdbook.screens.ration_drafts import RationDrafts, is_touched
from herdbook.screens.ration_suggestion import RationSuggestion
from herdbook.screens.sheet import Choice
from herdbook.screens.unfinished import Unfinished

if TYPE_CHECKING:
    from herdbook.screens.desk import Look

WRITERS = frozenset({"nutritionist"})
"""Who besides the owner may set a ration, and so may draft one."""

DESK_KEYS = (
    keys.Key(
        "ration.amount", "enter", "", "amount",
        "An amount of the chosen feed: 54.5 is as fed, 17.3dm dry matter, +1 and -5% change it, 0 takes it out.",
        "digits",
    ),
    keys.Key(
        "ration.suggest", "s", "suggest('least-cost')", "suggest",
        "Suggests the cheapest amounts within the targets.",
    ),
    keys.Key(
        "ration.smallest", "m", "suggest('smallest-change')", "smallest change",
        "Suggests the smallest change that meets the targets.",
    ),
    keys.Key(
        "ration.hold", "space", "hold", "hold",
        "Holds the chosen feed as it is for suggestions; in a suggestion takes the line or leaves it.",
    ),
    BIND_KEY,
    keys.Key("ration.use", "u", "use", "use", "Uses the draft: opens its slip, which asks from which day and feeding."),
    keys.Key("ration.back", "z", "put_back", "put back", "Puts the chosen feed back as it is in use."),
    keys.Key("ration.other", "o", "other_feed", "other feed", "Offers a feed that is not in the ration."),
    keys.Key("ration.versions", "v", "versions", "versions", "Lists the versions and what each changed."),
)  # fmt: skip


class RationDesk(RationSuggestion):
    """What is tried out in a ration; `Ration` draws it.

    A draft is nobody's but the person's own. It changes as amounts are typed, and goes into the book only by U and
    the slip that follows.
    """

    def action_hold(self) -> None:
        """Hold the chosen feed, or let it go; in a suggestion take its line, or leave it."""
        tried, feed = self.tried, self.chosen_feed
        if tried is None or feed is None:
            return
        if self.offer is not None:
            self.offer.toggle(feed)
            self.draw()
            return
        row = next(row for row in tried.rows() if row.feed == feed)
        tried.lock(feed, locked=not row.is_locked)
        self.draft_is(f"{row.name} {'may change again' if row.is_locked else 'is held as it is'}.")
        self.ask_amount()

    def action_put_back(self) -> None:
        """Put the chosen feed back as it is in use."""
        tried, feed = self.tried, self.chosen_feed
        if tried is None or feed is None or self._is_offered():
            return
        tried.put_back(feed)
        self.draft_is(f"{tried.feeds[feed].name} is as in use.")
        self.ask_amount()

    def _is_offered(self) -> bool:
        """Whether a suggestion is in view, which has to be taken or left first; then it is said."""
        if self.offer is not None:
            self.say("Enter puts the lines taken in the draft first; Esc leaves the suggestion.")
        return self.offer is not None

    def action_other_feed(self) -> None:
        """Choose a feed that is not in the ration; it comes in at nothing, for an amount or for a suggestion."""
        tried = self.tried
        if tried is None or not self.may_set() or self._is_offered():
            return
        there = {row.feed for row in tried.rows()}
        found = [one for one in tried.feeds.values() if one.feed not in there and one.dry_ppm is not None]
        if not found:
            self.say("Every feed of the book that has a dry matter is in the ration.")
            return
        choices = [(plain(one.name), self._adder(one.feed)) for one in found]
        self.open_sheet("OTHER FEEDS", "Enter or the number offers it, Esc closes", (), choices)

    def _adder(self, feed: int) -> Callable[[], None]:
        def add() -> None:
            self.close_sheet()
            tried = self.tried
            if tried is None:
                return
            tried.change(feed, 0)
            self.draft_is(f"{tried.feeds[feed].name} is on offer: type an amount, or S asks with it.")
            self.feeds.choose(str(feed))
            self.note_where()
            self.ask_amount()
            self.set_focus(self.amount, scroll_visible=False)

        return add

    def action_use(self) -> None:
        """Open the slip that makes the draft the next version: from which day and feeding is asked."""
        tried = self.tried
        if tried is None or self._is_offered():
            return
        if not tried.is_changed:
            self.say("Nothing is changed yet: type an amount, or S suggests some.")
            return
        if not tried.items:
            self.say("Nothing is left in the draft to use.")
            return
        self._left.pop("ration", None)  # an older slip of this draft holds older amounts
        self.open_chore("ration", fixed={**tried.texts(), "basis": "as fed", **self.seen()})

    def seen(self) -> dict[str, str]:
        """The version that what is in view was drafted from: one written since is told before it is written over."""
        if self.version is None:
            return {}
        return {"seen": str(self.drafts.begun_from(self.version.ration, self.version.entry))}

    def _slip_is_written(self) -> None:
        """A draft that was written is no draft any more."""
        slip = self.slip
        if slip is not None and slip.form.chore == "ration" and "item" in slip.form.fixed and self.version:
            self.drafts.by_ration.pop(self.version.ration, None)
        super()._slip_is_written()

    def throw_away(self) -> None:
        """Put everything back as it is in use."""
        tried, version = self.tried, self.version
        if tried is None or version is None:
            return
        for row in tried.rows():
            tried.lock(row.feed, locked=False)
        tried.put_back()
        self.draft_is(f"Thrown away. Version {version.version} is in view.")
        self.ask_amount()

    def back(self) -> bool:
        """Leave a suggestion, stop waiting for one, or throw the draft away after asking."""
        if self.slip_is_open:
            return False
        if self.waits_for is not None:
            self.waits_for = None
            self.say("Not waiting any more. Nothing was changed.")
        elif self.binds:
            self.leave_bounds()
        elif self.offer is not None:
            self.leave_offer("The suggestion is gone; nothing was changed.")
        elif self.tried is not None and is_touched(self.tried) and self.may_draft:
            self.ask(f"Throw the draft of {plain(self.tried.name)} away?", self.throw_away)
        else:
            return False
        return True

    # -- versions --

    def action_versions(self) -> None:
        """List the versions; one that is chosen is told beside the one before it."""
        version = self.version
        if version is None:
            self.say("No ration is in use yet. E writes one.")
            return
        ration = version.ration

        def job(data: Look) -> list[tuple[str, list[str]]]:
            from herdbook.reports import ration_versions

            with data.at_once() as (connection, ground):
                report = ration_versions.make(connection, ground, name=ration)
                return [_version_told(line, report, ground) for line in report.tables[0].lines]

        self.home.reading.ask("versions", job, done=self._show_versions, failed=self.home.could_not_read)

    def _show_versions(self, told: Sequence[tuple[str, list[str]]]) -> None:
        choices: list[Choice] = [(words, self._teller(words, lines)) for words, lines in told]
        self.open_sheet("VERSIONS", "newest first; Enter tells one, Esc closes", (), choices)

    def _teller(self, words: str, lines: Sequence[str]) -> Callable[[], None]:
        def tell() -> None:
            self.open_sheet(
                "VERSION", "Esc closes", [Text(f"   {words}", "bold"), *(f"   {one}" for one in lines)]
            )

        return tell

    # -- drafts over a cut line --

    def draft(self) -> Mapping[str, str] | None:
        """With what other places keep, the rations' drafts."""
        self.note_where()
        kept = Unfinished.from_draft(super().draft() or {})
        kept.own = self.drafts.as_text()
        return kept.as_draft() or None

    def take_draft(self, draft: Mapping[str, str]) -> None:
        """Put the rations' drafts back, to be laid over the versions in use once those are read."""
        self.drafts = RationDrafts.from_text(Unfinished.from_draft(draft).own)
        super().take_draft(draft)
        if self.drafts.by_ration:
            self.say("Your draft is back as it was; nothing of it is in use until you press U.")


def _version_told(line: Any, report: Any, ground: Ground) -> tuple[str, list[str]]:
    """A version in a line for the list, and in lines for the sheet: its amounts, and what came after it."""
    from datetime import date

    from herdbook.chores.measures import ask_per_head
    from herdbook.clock import shown_day
    from herdbook.reports.ration_versions import changes

    version = next(one for one in report.data if one.version == line["version"].value)
    in_use = next((one for one in report.tables[0].lines if one["version"].says), None)
    now = next((one for one in report.data if in_use and one.version == in_use["version"].value), None)
    feeding = f", feeding {version.from_feeding}" if version.from_feeding != 1 else ""
    who = f", by {plain(str(line['set_by'].value))}" if line["set_by"].value else ""
    words = f"Version {version.version}{', in use' if version is now else ''}, "
    words += f"from {shown_day(date.fromisoformat(version.from_day))}{feeding}{who}"
    amount = ask_per_head("amount")
    lines = [f"Changed: {line['changed'].value}"]
    lines += [f"Note: {line['note'].value}"] if line["note"].value else []
    if now is not None and version is not now:
        lines.append(f"In use now: {'; '.join(changes(version, now, ground)) or 'the same amounts'}")
    for item in version.items:
        dry = " dm" if item["basis"] == "dry matter" else ""
        lines.append(f"  {ground.name_of('feed', item['feed'])}  {amount.shown(item['mg'], ground)}{dry}")
    return words, lines

"""Any report of the book, read over the place in view: chosen from the list, made, and set in the sheet's lines."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

from rich.text import Text

from herdbook.errors import HerdbookError
from herdbook.screens.place import Place
from herdbook.screens.sheet import Choice

if TYPE_CHECKING:
    from herdbook.chores.ground import Ground
    from herdbook.reports.catalogue import Spec
    from herdbook.reports.figures import Report
    from herdbook.screens.desk import Look

ROLES = {"yellow": "hay bold", "red": "rust bold"}
WORDS_ASKED = ("by", "which")
"""Options with a few words to choose from that change what a report is about; of others the usual is taken."""


class ReportSheet(Place):
    """The part of a place that shows reports."""

    def show_reports(self) -> None:
        """List every report; the chosen one is made and read here."""
        from herdbook.reports.catalogue import SPECS

        widest = max(len(name) for name in SPECS)
        choices: list[Choice] = [
            (f"{spec.name:<{widest}}  {spec.title}", self._asker(spec, {})) for spec in SPECS.values()
        ]
        self.open_sheet("REPORTS", "Enter opens, letters jump, Esc closes", (), choices)

    def _asker(self, spec: Spec, texts: Mapping[str, str]) -> Any:
        return lambda: self._ask(spec, texts)

    def _ask(self, spec: Spec, texts: Mapping[str, str]) -> None:
        """Ask what the report still needs, one list after the other, then make it."""
        wanted = [option for option in (*spec.needed, *WORDS_ASKED) if option in spec.options]
        option = next((one for one in wanted if one not in texts), None)
        if option is None:
            self.read_report(spec.name, texts)
            return
        ground = self._ground_now()
        known = list(spec.options[option].choices(ground) or ()) if ground else []
        if not known:
            self.close_sheet()
            self.say(f"There is no {spec.options[option].label} in the book yet.")
            return
        choices = [(name, self._asker(spec, {**texts, option: name})) for name in known]
        self.open_sheet(f"{spec.name}: {spec.options[option].label}".upper(), "Esc closes", (), choices)

    def _ground_now(self) -> Ground | None:
        return getattr(self, "ground", None)

    def read_report(
        self, name: str, texts: Mapping[str, str], heading: tuple[str, str] | None = None
    ) -> None:
        """Make a report in the reading thread and lay it over the body.

        Args:
            name: the report's.
            texts: its options as typed.
            heading: both ends of the sheet's heading; the report's own name if not given.
        """
        from herdbook.reports.catalogue import SPECS, make
        from herdbook.screens.report_days import option_of_days

        spec = SPECS[name]
        option = option_of_days(spec)
        knows_days, turns = bool(option), "D days" if option == "days" else "D days, ← → turn"
        keys = f"{turns}, Esc closes" if knows_days else "I lists all reports, Esc closes"
        ends = heading or (name.upper(), keys)
        width = self.size.width - 2

        def job(look: Look) -> list[Text | str]:
            with look.at_once() as (connection, ground):
                return report_lines(make(name, connection, ground, texts), ground, width)

        self.close_sheet()
        self.say(f"reading{self.home.signs.more}")
        self.home.reading.ask(
            "report",
            job,
            done=lambda lines: self._read(
                ends, lines, self._turns(spec, texts, heading) if knows_days else None
            ),
            failed=self.home.could_not_read,
        )

    def _read(
        self,
        heading: tuple[str, str],
        lines: list[Text | str],
        turns: Mapping[str, Callable[[], None]] | None,
    ) -> None:
        self.say("")
        if self.is_current:
            self.open_sheet(*heading, lines, turns=turns)

    # -- days --

    def _turns(
        self, spec: Spec, texts: Mapping[str, str], heading: tuple[str, str] | None
    ) -> Mapping[str, Callable[[], None]]:
        """What keys do while a report of days is read."""
        from herdbook.screens.report_days import option_of_days

        lists = {"d": lambda: self._list_days(spec, texts, heading)}
        if option_of_days(spec) == "days":  # so many days back: there are none after them
            return lists
        return lists | {
            "left": lambda: self._move_days(spec, texts, heading, -1),
            "right": lambda: self._move_days(spec, texts, heading, 1),
        }

    def _list_days(self, spec: Spec, texts: Mapping[str, str], heading: tuple[str, str] | None) -> None:
        from herdbook.screens.report_days import days_to_choose, option_of_days

        ground, option = self._ground_now(), option_of_days(spec)
        if ground is None:
            return

        def reader(typed: str) -> Callable[[], None]:
            others = {name: text for name, text in texts.items() if name != option}
            return lambda: self.read_report(
                spec.name, {**others, option: typed} if typed else others, heading
            )

        choices = [(words, reader(typed)) for words, typed in days_to_choose(spec, ground)]
        self.open_sheet(f"{spec.name}: days".upper(), "Enter or the number, Esc closes", (), choices)

    def _move_days(
        self, spec: Spec, texts: Mapping[str, str], heading: tuple[str, str] | None, by: int
    ) -> None:
        from herdbook.screens.report_days import moved_days, option_of_days

        ground = self._ground_now()
        if ground is None:
            return
        try:
            moved = moved_days(spec, texts, by, ground)
        except HerdbookError as error:
            self.say(str(error))
            return
        if moved:
            self.read_report(spec.name, {**texts, option_of_days(spec): moved}, heading)


def report_lines(report: Report, ground: Ground, wide: int) -> list[Text | str]:
    """A report in lines of so many cells, as the command line prints it.

    Args:
        report: the report.
        ground: the farm's units and clock.
        wide: cells of a line.
    """
    import io

    from rich.console import Console

    from herdbook.reports.blocks import report_parts

    console = Console(file=io.StringIO(), width=wide, highlight=False, markup=False, emoji=False)
    lines: list[Text | str] = []
    for part in report_parts(report, ground, wide):
        for segments in console.render_lines(part, pad=False):
            line = Text(" ")
            for segment in segments:
                line.append(segment.text, _role(segment.style))
            line.rstrip()
            lines.append(line)
    return lines


def _role(style: Any) -> str:
    """The role that stands for a printed style; the flag's sign is in the text in any case."""
    if style is None:
        return ""
    colour = style.color.name if style.color is not None else ""
    return ROLES.get(colour, "dust" if style.dim else "bold" if style.bold else "")

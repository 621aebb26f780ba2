"""Lines of the feeding place again: corrected, struck, explained, come back after a cut line, or due on Today."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from herdbook.screens.feeding_moves import FeedingMoves
from herdbook.screens.feeding_scale import AtScale, to_be_read
from herdbook.screens.unfinished import OWN, TYPED

if TYPE_CHECKING:
    from herdbook.reports.due import Due


class FeedingLines(FeedingMoves):
    """The part of the feeding place for what was written, or typed, before."""

    @property
    def at_scale(self) -> AtScale | None:
        """The chosen feed at the scale."""
        raise NotImplementedError

    def action_strike(self) -> None:
        """Strike out the weight of the chosen feed, the newest of it; a load with nothing in it, whole."""
        load = self.load_in_view
        at = self.at_scale
        if at is not None and at.mine:
            self.strike_chosen(str(at.mine[-1]["entry"]))
        elif load is not None and not load.weighed and not load.dropped:
            self.strike_chosen(str(load.entry))
        else:
            self.strike_chosen(None)

    def correct(self) -> None:
        """Correct the weight of the chosen feed, the newest drop, or the load."""
        load, at = self.load_in_view, self.at_scale
        if load is None:
            self.say("No line chosen that can be corrected.")
        elif self.stage != "weigh" and load.dropped:
            self.correct_number(load.dropped[-1]["entry"])
        else:
            self.correct_number(at.mine[-1]["entry"] if at is not None and at.mine else load.entry)

    def why(self) -> Sequence[Text | str]:
        """The load in view, feed by feed, with everything to be read of it."""
        load = self.load_in_view
        if self._data is None or load is None or self.ground is None:
            return ()
        lines: list[Text | str] = [*to_be_read(self._data.mixing.get(load.load), load, self.ground)]
        lines += [""] * bool(lines)
        table = self._data.report.table("loads")
        line = next(one for one in table.lines if one["load"].value == load.number)
        for column in table.columns:
            if column.key in ("planned_kg", "loaded_kg", "off_percent", "dropped_kg"):
                lines += [*self.explain(f"Load {load.number}, {column.label}", line[column.key], column), ""]
        return lines

    def draft(self) -> Mapping[str, str] | None:
        """What is unfinished, and for which load and feed the number was typed."""
        found = super().draft()
        if not found or not found.get(TYPED) or not self.view.in_load:
            return found
        return {**found, OWN: self.view.as_kept(self.feeds.chosen or "")}

    def take_draft(self, draft: Mapping[str, str]) -> None:
        """Put the number back, and go to the load and feed it was typed for."""
        if draft.get(TYPED):
            self.view.take_kept(draft.get(OWN) or "")
        super().take_draft(draft)

    def take_due(self, one: Due) -> None:
        """Go on with what is due: the load it names, the refusals, or a cow to be looked at."""
        if one.load is not None and self._data is not None and self._data.load(one.load) is not None:
            self.view.see(one.load)
            self.reload()
        elif one.what.startswith("Look at cow"):
            self.look_again(one.what.removeprefix("Look at cow "), one.details.partition(",")[0])
        elif one.what.startswith("Weigh back"):
            self.action_refused()
        elif one.what.startswith("Dry-matter"):
            self.open_chore("dry-matter")
        elif one.what.startswith("Mix"):
            self.view.goes_on = True
            self.see_all_loads()

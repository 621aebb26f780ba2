"""Moving about in the feeding place: up and down, left and right, one step back, and finding a line."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from herdbook.screens.feeding_drawing import BEGUN
from herdbook.screens.feeding_view import Stage, next_feed
from herdbook.screens.feeding_writing import FeedingWriting
from herdbook.screens.parts.rows_table import RowsTable

if TYPE_CHECKING:
    from herdbook.screens.feeding_drawing import LoadsTable


class FeedingMoves(FeedingWriting):
    """The part of the feeding place that chooses loads and feeds."""

    loads: LoadsTable
    feeds: RowsTable
    pens: RowsTable
    may_weigh: bool

    @property
    def stage(self) -> Stage:
        """What the field asks for."""
        return self.view.stage(self._data)

    def ask_next(self) -> None:
        """Let the field ask for what comes next."""
        raise NotImplementedError

    def leave_feed(self) -> None:
        """Go on with the feed that comes next."""
        raise NotImplementedError

    def see_all_loads(self) -> None:
        """Look at all loads of the day."""
        raise NotImplementedError

    async def on_key(self, event: Any) -> None:
        """Up and down choose a load of the day, or the feed the scale is read for."""
        if event.key in ("up", "down") and (self.scale.has_focus or not self.may_weigh):
            event.stop()
            by = 1 if event.key == "down" else -1
            if self.stage == "plan":
                self.view.goes_on = False
                self.loads.step(by)
            else:
                self._choose_feed(by, self.feeds.step)
            self.ask_next()

    def _choose_feed(self, by: int, move: Callable[[int], bool]) -> None:
        """Go to another feed; below the last one what comes next is asked again."""
        if self.stage in ("drop", "done"):
            if by < 0 and self.feeds.rows:
                self.feeds.choose(self.feeds.rows[-1].key)
                self.view.going_back = True
            return
        before = self.feeds.chosen
        move(by)
        self.view.going_back = (before != self.feeds.chosen or by < 0) and self._is_going_back()

    def _is_going_back(self) -> bool:
        """Whether the chosen feed is another than the one asked for."""
        load = self.load_in_view
        self.view.going_back = False
        return load is not None and (self.stage != "weigh" or self.feeds.chosen != next_feed(load))

    def back(self) -> bool:
        """From a feed that was gone back to, to the next one; from a load to all loads of the day."""
        if self.slip_is_open:
            return False
        if self.view.going_back:
            self.leave_feed()
        elif self.view.in_load and len(self.loads.rows) > 0:
            self.view.goes_on = False
            chosen = f"{BEGUN} {self.view.load_id}"
            self.see_all_loads()
            self.loads.choose(chosen)
            self.ask_next()
        else:
            return False
        return True

    def action_other_load(self, by: int) -> None:
        """Show the load before or after, going round."""
        if self._data is None or not self._data.loads:
            self.say("No load is begun. Enter starts the chosen one.")
            return
        numbers = [load.load for load in self._data.loads]
        in_view = self.load_in_view
        at = numbers.index(in_view.load) + by if in_view is not None else min(by, 0)
        self.view.see(numbers[at % len(numbers)])
        self.view.goes_on = False
        self.scale.put("")
        self.reload()

    def action_more_lines(self, by: int) -> None:
        """Page through the pens, or through the feeds where no pens are in view."""
        if self.pens.display:
            self.pens.page(by)
        else:
            self._choose_feed(by, self.feeds.page)
            self.ask_next()

    def list_to_find_in(self) -> RowsTable:
        """The feeds of the load, the loads of the day, or the pens while there are none."""
        table = self.feeds if self.view.in_load else self.loads
        return table if table.rows else self.pens

    def found_line(self) -> None:
        self.view.going_back = self._is_going_back()
        self.ask_next()

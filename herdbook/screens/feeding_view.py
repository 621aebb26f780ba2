"""Which load the feeding place looks at and what it asks for: it goes on by itself, unless somebody chose otherwise."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from herdbook.screens.feeding_data import FeedingData, is_dropped

if TYPE_CHECKING:
    from herdbook.book.reading.feeding import LoadRow

Stage = Literal["plan", "weigh", "drop", "done"]
"""What is asked for: which load, a feed's weight, a pen's drop, or nothing any more of this load."""


@dataclass
class InView:
    """What is looked at.

    Attributes:
        load_id: the load looked at last.
        in_load: whether it is in view, or all loads of the day.
        goes_on: whether the next load comes by itself once this one is dropped.
        going_back: whether a feed was chosen that is not the next one.
    """

    load_id: int | None = None
    in_load: bool = False
    goes_on: bool = True
    going_back: bool = False
    _known: frozenset[int] | None = None
    _kept: dict[str, object] = field(default_factory=dict)

    def load(self, data: FeedingData | None) -> LoadRow | None:
        """The load in view, none while all loads of the day are."""
        return data.load(self.load_id) if data is not None and self.in_load else None

    def stage(self, data: FeedingData | None) -> Stage:
        """What is asked for."""
        from herdbook.reports.loads import is_weighed_in

        load = self.load(data)
        if load is None or data is None or load.load not in data.mixing:
            return "plan"
        if self.going_back:
            return "weigh"
        if is_dropped(load):
            return "done"
        return "drop" if load.dropped or is_weighed_in(load) else "weigh"

    def catch_up(self, data: FeedingData) -> str | None:
        """Stay with the load in view while it lasts, else go on; a feed to go back to is given."""
        numbers = frozenset(load.load for load in data.loads)
        new = frozenset() if self._known is None else numbers - self._known
        self._known = numbers
        if self._kept:
            return self._take_up(data)
        load = data.load(self.load_id)
        if load is None:
            self.in_load, self.load_id = False, None
            self.goes_on = self.goes_on or not numbers
        if self.goes_on and new:
            self.see(max(new))
        elif self.goes_on and (load is None or is_dropped(load)):
            self._go_on(data)
        return None

    def _go_on(self, data: FeedingData) -> None:
        """To a load in the mixer, else to the next of the plan, else stay with the last one."""
        self.going_back = False
        if data.unfinished:
            self.see(data.unfinished[0].load)
        elif data.plan.next_one() is None and data.loads:
            self.see(data.loads[-1].load)
        else:
            self.in_load = False

    def see(self, load: int) -> None:
        """Look at a load."""
        self.load_id, self.in_load, self.going_back = load, True, False

    # -- over a cut line --

    def as_kept(self, feed: str) -> str:
        """Which load and feed a number was typed for, to be kept with it."""
        return json.dumps({"load": self.load_id, "feed": feed, "back": self.going_back})

    def take_kept(self, kept: str) -> None:
        """Go back there once the book is read; what cannot be read is nothing."""
        try:
            found = json.loads(kept or "{}")
        except ValueError:
            found = {}
        self._kept = found if isinstance(found, dict) else {}

    def _take_up(self, data: FeedingData) -> str | None:
        kept, self._kept = self._kept, {}
        number = kept.get("load")
        if not isinstance(number, int) or data.load(number) is None:
            return None
        self.see(number)
        self.goes_on, self.going_back = False, bool(kept.get("back"))
        return str(kept.get("feed") or "") or None


def next_feed(load: LoadRow) -> str | None:
    """The first planned feed that is not weighed yet."""
    done = {row["feed"] for row in load.weighed}
    return next((str(row["feed"]) for row in load.planned if row["feed"] not in done), None)

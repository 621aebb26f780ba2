"""What is left in the mixer, shared out to the pens in walking order, and what is typed for a drop."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from herdbook.chores.ground import Ground
from herdbook.screens.feeding_data import AtMixer, waiting_pens
from herdbook.screens.parts.understood import Understood

if TYPE_CHECKING:
    from herdbook.book.reading.feeding import LoadRow

BEFORE_AFTER = re.compile(r"\s*([0-9][0-9.,' ]*?)\s*[-–−]\s*([0-9][0-9.,' ]*?)\s*([A-Za-z]*)\s*")
"""`2650-1320`: what the scale read before the drop and after it."""
MORE_THAN_LEFT = 1.02
"""A drop a little over what is left is the scale's wobble: common practice, no source."""


@dataclass(frozen=True)
class Dropping:
    """The next drop of a load.

    Args:
        load: the load as it stands.
        mixing: what is known of it.
        ground: the farm's units and names.
        walk: every pen in walking order.
    """

    load: LoadRow
    mixing: AtMixer
    ground: Ground
    walk: tuple[int, ...]

    @cached_property
    def waiting(self) -> list[int]:
        """Pens that got nothing yet, in walking order."""
        place = {pen: at for at, pen in enumerate(self.walk)}
        return sorted(waiting_pens(self.load), key=lambda pen: place.get(pen, len(place)))

    @property
    def left_g(self) -> int:
        """What is in the mixer."""
        return self.load.loaded_g - self.load.dropped_g

    @cached_property
    def pen(self) -> int | None:
        """The pen that comes next."""
        return self.waiting[0] if self.waiting else None

    @property
    def pen_name(self) -> str:
        """Its name."""
        return "" if self.pen is None else self.ground.name_of("pen", self.pen)

    @cached_property
    def offered_g(self) -> int:
        """Its share of what is left, on the scale's step; the last pen gets all of it."""
        if self.pen is None or len(self.waiting) == 1:
            return max(self.left_g, 0)
        from herdbook.science.load_split import on_step

        parts = {pen: self.mixing.parts.get(pen, 0.0) for pen in self.waiting}
        whole = sum(parts.values())
        share = parts[self.pen] / whole if whole else 1 / len(parts)
        return on_step(max(self.left_g, 0) * share, self.mixing.judge.step_mg)

    @property
    def hint(self) -> str:
        """What stands beside the empty field."""
        return f"Load is in. Enter drops {self.ground.units.mass(self.offered_g)}"

    def texts(self, weight: str) -> dict[str, str]:
        """The drop as its chore takes it."""
        load = f"{self.load.farm_day} {self.load.number}"
        return {"load": load, "pen": self.pen_name, "weight": weight}

    def offered(self) -> dict[str, str]:
        """What Enter writes while nothing is typed."""
        return self.texts(self._exactly(self.offered_g))

    def understand(self, text: str) -> Understood:
        """Read what was typed: what the pen got, or the scale before and after."""
        from herdbook.chores.bunk import DropDraft

        ask, units = DropDraft.asks()["weight"], self.ground.units
        both = BEFORE_AFTER.fullmatch(text)
        if both:
            before, after = (
                ask.understand(f"{part} {both[3]}".strip(), self.ground) for part in both.group(1, 2)
            )
            grams = before - after
            if grams <= 0:
                return Understood(error="The scale before the drop comes first, then after it: 2650-1320.")
        else:
            grams = ask.understand(text, self.ground)
        texts = self.texts(self._exactly(grams))
        left_g = self.left_g - grams
        if grams > MORE_THAN_LEFT * self.left_g:
            return Understood(
                value=texts, ask=f"{units.mass(grams)}? {units.mass(self.left_g)} is in the mixer."
            )
        return Understood(
            value=texts, shown=f"{self.pen_name} {units.mass(grams)}, {units.mass(max(left_g, 0))} left"
        )

    def _exactly(self, grams: int) -> str:
        from herdbook.chores.bunk import DropDraft

        return DropDraft.asks()["weight"].typed_again(grams, self.ground)

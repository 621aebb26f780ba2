"""What a chore stands on when it reads what was typed: the farm's units and clock, and the names in the book."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import TYPE_CHECKING

from herdbook.clock import FarmClock
from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.units import FarmUnits

if TYPE_CHECKING:
    from herdbook.settings import CopiesWatched

THINGS = {
    "pen": "pen",
    "feed": "feed",
    "ration": "ration",
    "mixer": "mixer",
    "tank": "tank",
    "person": "person",
    "load": "load",
    "milking": "milking",
}


@dataclass(frozen=True, slots=True)
class Ground:
    """Everything needed to understand typed text, read once.

    Args:
        units: how the farm writes quantities.
        clock: the farm's time zone and day.
        now_s: the instant it is, UTC seconds.
        names: kind of thing -> name -> id, as the book stands.
        copies: where this computer keeps copies of the book and how old they may be; None for whoever does not mind.
    """

    units: FarmUnits = field(default_factory=FarmUnits)
    clock: FarmClock = field(default_factory=FarmClock)
    now_s: int = 0
    names: Mapping[str, Mapping[str, int]] = field(default_factory=dict)
    copies: CopiesWatched | None = None

    def find(self, kind: str, typed: str, *, label: str = "") -> int:
        """The thing of that kind whose name is, or alone contains, what was typed.

        Raises:
            Refused: no such thing, or several; the sentence names the nearest.
        """
        label = label or kind
        wanted = plain(typed, longest=80)
        known = self.names.get(kind, {})
        lowered = {name.lower(): number for name, number in known.items()}
        if wanted.lower() in lowered:
            return lowered[wanted.lower()]
        holding = [name for name in known if wanted and wanted.lower() in name.lower()]
        if len(holding) == 1:
            return known[holding[0]]
        if not known:
            raise Refused(
                f"{label}: there is no {kind} in the book yet.",
                remedy=f"Write one first: `herdbook write {kind}`.",
                field=label,
            )
        if holding:
            raise Refused(
                f"{label}: {wanted!r} could be {_either(holding)}.",
                remedy="Type a little more of the name.",
                field=label,
            )
        near = get_close_matches(wanted.lower(), lowered, 1, 0.5)
        close = next((name for name in known if near and name.lower() == near[0]), "")
        hint = f"Did you mean {close}?" if close else f"In the book: {_either(list(known)[:8])}."
        raise Refused(f"{label}: there is no {kind} called {wanted!r}.", remedy=hint, field=label)

    def shown(self, at_s: int) -> str:
        """An instant as a person reads it today: the time alone, or with its day where that is another."""
        return self.clock.shown(at_s, today=self.clock.local(self.now_s).date())

    def name_of(self, kind: str, number: int) -> str:
        """The name of a thing, or its number where it has none any more."""
        return next(
            (name for name, found in self.names.get(kind, {}).items() if found == number), f"{kind} {number}"
        )


def _either(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"

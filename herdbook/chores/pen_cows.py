"""What the cows of a pen are expected to be: weight, days in milk, older cows, condition, milk and its tests."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Annotated

from herdbook.book.tables import PenCows
from herdbook.chores.asking import LONGEST_NUMBER, Ask, Count, Name
from herdbook.chores.doing import HAND, NUTRITIONIST, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.ground import Ground
from herdbook.chores.measures import ask_share, ask_weight
from herdbook.chores.moments import Day
from herdbook.errors import Refused
from herdbook.units import parse_number, show_number

CONDITION = (100, 500)
"""Hundredths of the five-point body condition score, thin to fat."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition(Ask):
    """A body condition score from 1, thin, to 5, fat; kept in hundredths."""

    @property
    def kind(self) -> str:
        return "number"

    def understand(self, text: str, ground: Ground) -> int:
        typed = self.short(text, LONGEST_NUMBER)
        try:
            kept = round(parse_number(typed, decimal=ground.units.decimal) * 100)
        except ValueError:
            raise self._cannot(repr(typed)) from None
        self.check(kept)
        return kept

    def _cannot(self, said: str) -> Refused:
        return Refused(
            f"{self.label}: {said} is not a score.", remedy="Type 1 to 5, such as 3.25.", field=self.label
        )

    def shown(self, value: int, ground: Ground) -> str:
        return show_number(value / 100, 2, decimal=ground.units.decimal)

    def check(self, value: object) -> None:
        if not isinstance(value, int) or not CONDITION[0] <= value <= CONDITION[1]:
            raise self._cannot(f"{value / 100:g}" if isinstance(value, int) else "that")


class PenCowsDraft(ChoreDraft):
    """The cows of a pen; what is not given stays as an earlier entry said."""

    pen: Annotated[int, Name(label="pen", help="which pen", thing="pen")]
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=60)
    ] = None
    weight: Annotated[
        int | None,
        ask_weight("body weight", least_g=20_000, most_g=1_500_000, help="mean body weight of a cow"),
    ] = None
    days_in_milk: Annotated[
        int | None, Count(label="days in milk", help="mean days since calving", noun="days", most=1_500)
    ] = None
    days_pregnant: Annotated[
        int | None, Count(label="days pregnant", help="mean days since conception", noun="days", most=300)
    ] = None
    older: Annotated[
        int | None, ask_share("older cows", least_ppm=0, help="share of cows past their first lactation")
    ] = None
    condition: Annotated[int | None, Condition(label="condition", help="mean body condition, 1 to 5")] = None
    milk: Annotated[int | None, ask_weight("milk", least_g=0, most_g=100_000, help="milk a cow and day")] = (
        None
    )
    fat: Annotated[
        int | None, ask_share("milk fat", least_ppm=0, most_ppm=150_000, help="fat of the milk")
    ] = None
    protein: Annotated[
        int | None, ask_share("milk protein", least_ppm=0, most_ppm=100_000, help="true protein of the milk")
    ] = None


@chore("pen-cows", "what the cows of a pen are", PenCowsDraft, roles=[HAND, NUTRITIONIST])
def set_pen_cows(doing: Doing, draft: PenCowsDraft) -> str:
    """Write what a pen's cows are expected to be from a day on."""
    asks = draft.asks()
    given = [name for name in asks if name not in ("pen", "since") and getattr(draft, name) is not None]
    if not given:
        raise Refused(
            "body weight: nothing was given, nor anything else of the cows.",
            remedy="Give body weight, days in milk, milk or whatever is known.",
            field="body weight",
        )
    since = (draft.since or doing.ground.clock.farm_day(doing.ground.now_s)).isoformat()
    doing.add(
        PenCows(
            pen=draft.pen,
            from_day=since,
            body_g=draft.weight,
            days_in_milk=draft.days_in_milk,
            days_pregnant=draft.days_pregnant,
            older_ppm=draft.older,
            condition_hundredths=draft.condition,
            milk_g=draft.milk,
            fat_ppm=draft.fat,
            protein_ppm=draft.protein,
        )
    )
    said = ", ".join(
        f"{asks[name].label} {asks[name].shown(getattr(draft, name), doing.ground)}" for name in given
    )
    return f"{doing.ground.name_of('pen', draft.pen)}, from {since}: {said}."

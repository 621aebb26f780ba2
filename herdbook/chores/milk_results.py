"""What a laboratory found in a tank's milk, and which limits on counts the farm's results are held against."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import Annotated

from herdbook.book.reading.milk_results import BACTERIA_LIMIT, CELLS_LIMIT, milk_results
from herdbook.book.tables import FarmChoice, MilkResult
from herdbook.chores.asking import LONGEST_NUMBER, Ask, Name, Word, Words
from herdbook.chores.choosing import only_one
from herdbook.chores.doing import HAND, NUTRITIONIST, OWNER, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.ground import Ground
from herdbook.chores.measures import Measure, ask_share
from herdbook.chores.moments import Day, Moment
from herdbook.chores.nutrient_asks import split_unit
from herdbook.errors import Refused
from herdbook.science.freezing_point import hortvet_to_degC
from herdbook.science.quality_limits import quality_limits
from herdbook.units import FarmUnits, parse_number

FIGURES = ("fat", "protein", "cells", "bacteria", "urea", "freezing")
CHOICES = {"cells": CELLS_LIMIT, "bacteria": BACTERIA_LIMIT}


@dataclass(frozen=True, slots=True, kw_only=True)
class LabNumber(Ask):
    """A figure as laboratories print it, kept in whole parts.

    Args:
        bare: the unit of a number without one.
        units: what one of each unit is in kept parts, by lower-case spelling.
        least, most: bounds in kept parts.
    """

    bare: str
    units: Mapping[str, int] = field(default_factory=dict)
    least: int = 0
    most: int = 10**9

    def unit_word(self, units: FarmUnits) -> str:
        return self.bare

    def understand(self, text: str, ground: Ground) -> int:
        typed = self.short(text, LONGEST_NUMBER)
        longest_first = sorted(self.units, key=len, reverse=True)
        spelled = next((unit for unit in longest_first if typed.lower().endswith(unit)), "")
        number = typed[: len(typed) - len(spelled)].strip()
        try:
            value = parse_number(number, decimal=ground.units.decimal)
        except ValueError:
            raise Refused(
                f"{self.label}: {typed!r} is not a number.",
                remedy=f"Type a number in {self.bare}.",
                field=self.label,
            ) from None
        kept = round(value * self.units[spelled or self.bare.lower()])
        if not self.least <= kept <= self.most:
            raise Refused(
                f"{self.label}: {typed} cannot be, {self.shown(kept, ground)}.",
                remedy=f"It lies from {self.shown(self.least, ground)} to {self.shown(self.most, ground)}.",
                field=self.label,
            )
        return kept

    def shown(self, value: int, ground: Ground) -> str:
        number = Fraction(value, self.units[self.bare.lower()])
        return f"{float(number):,.10g} {self.bare}".replace(".", ground.units.decimal)

    def typed_again(self, value: int, ground: Ground) -> str:
        number = Fraction(value, self.units[self.bare.lower()])
        return f"{float(number):.10g}".replace(".", ground.units.decimal)

    def check(self, value: object) -> None:
        if not isinstance(value, int) or isinstance(value, bool) or not self.least <= value <= self.most:
            raise Refused(
                f"{self.label}: {value!r} is out of bounds.",
                remedy=f"Type it in {self.bare}.",
                field=self.label,
            )


def ask_count(label: str, *, help: str, most_mL: int) -> LabNumber:  # noqa: N803
    """A count in a millilitre, typed in thousands as laboratories print it: `180`, or `180000/mL`."""
    # none at all has no logarithm: what a method cannot see is entered as the lowest it reports
    return LabNumber(
        least=1,
        label=label,
        help=help,
        bare="thousand/mL",
        units={"thousand/ml": 1000, "k": 1000, "/ml": 1},
        most=most_mL,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class FreezingPoint(Ask):
    """The freezing point of milk in millionths of a degree C: typed in degrees Hortvet, or with C behind it.

    Bounds -0.7 to -0.2 °C: milk half of which is water still freezes below.
    """

    def unit_word(self, units: FarmUnits) -> str:
        return "°H"

    def understand(self, text: str, ground: Ground) -> int:
        typed = self.short(text, LONGEST_NUMBER)
        number, spelled = split_unit(typed.replace("°", " "))
        try:
            value = parse_number(number, decimal=ground.units.decimal)
        except ValueError:
            value = None
        if value is None or spelled.lower() not in ("", "h", "c"):
            raise Refused(
                f"{self.label}: {typed!r} is not a freezing point.",
                remedy="Type degrees Hortvet such as -0.540, or degrees C such as -0.521 C.",
                field=self.label,
            )
        below = -abs(float(value))  # many a laboratory leaves the sign out: milk never freezes above nought
        celsius = below if spelled.lower() == "c" else hortvet_to_degC(hortvet=below)
        kept = round(celsius * 1_000_000)
        self.check(kept)
        return kept

    def shown(self, value: int, ground: Ground) -> str:
        return f"{value / 1_000_000:.4f} °C".replace(".", ground.units.decimal)

    def typed_again(self, value: int, ground: Ground) -> str:
        return f"{value / 1_000_000:.6f} C".replace(".", ground.units.decimal)

    def check(self, value: object) -> None:
        if not isinstance(value, int) or not -700_000 <= value <= -200_000:
            raise Refused(
                f"{self.label}: that is no freezing point of milk.",
                remedy="It lies near -0.54 °H, which is -0.52 °C.",
                field=self.label,
            )


class MilkResultDraft(ChoreDraft):
    """What a laboratory found in a sample of a tank's milk."""

    tank: Annotated[
        int | None, Name(label="tank", help="which tank; needed where there are several", thing="tank")
    ] = None
    sampled: Annotated[int, Moment(label="sampled", help="when the sample was taken, as at the pickup")]
    fat: Annotated[
        int | None, ask_share("fat", least_ppm=5_000, most_ppm=150_000, help="fat of the milk")
    ] = None
    protein: Annotated[
        int | None, ask_share("protein", least_ppm=5_000, most_ppm=100_000, help="protein of the milk")
    ] = None
    cells: Annotated[
        int | None,
        ask_count("cells", help="somatic cells; 180 is 180,000 in a mL", most_mL=20_000_000),
    ] = None
    bacteria: Annotated[
        int | None,
        ask_count("bacteria", help="plate count; 5 is 5,000 in a mL", most_mL=300_000_000),
    ] = None
    urea: Annotated[
        int | None,
        LabNumber(label="urea", help="milk urea nitrogen", bare="mg/dL", units={"mg/dl": 1000}, most=60_000),
    ] = None
    freezing: Annotated[
        int | None, FreezingPoint(label="freezing point", help="degrees Hortvet; C behind it for degrees C")
    ] = None
    laboratory: Annotated[str, Words(label="laboratory", help="whose result", longest=120)] = ""
    number: Annotated[str, Words(label="number", help="of the sample or result", longest=60)] = ""
    reported: Annotated[date | None, Day(label="reported", help="day of the result; today if not given")] = (
        None
    )
    words: Annotated[str, Words(label="words", help="anything else it says", longest=300)] = ""


@chore("milk-result", "a laboratory's result of milk", MilkResultDraft, roles=[HAND, NUTRITIONIST])
def write_milk_result(doing: Doing, draft: MilkResultDraft) -> str:
    """Write a result; tests for drugs are written with `milk-test`, which frees a blocked tank."""
    tank = only_one(doing, "tank", draft.tank)
    given = [name for name in FIGURES if getattr(draft, name) is not None]
    if not given:
        raise Refused(
            "fat: nothing was given, nor any other figure.",
            remedy="Give what the laboratory found: fat, protein, cells, bacteria, urea or freezing.",
            field="fat",
        )
    clock, name = doing.ground.clock, doing.ground.name_of("tank", tank)
    sampled_day = clock.farm_day(draft.sampled)
    reported = draft.reported or clock.farm_day(doing.ground.now_s)
    if reported < sampled_day:
        raise Refused(
            f"reported: {reported.isoformat()} is before the sample was taken.",
            remedy="Check both days.",
            field="reported",
        )
    known = milk_results(doing.book, draft.sampled, draft.sampled + 1, tank)
    if any(row["number"] == draft.number and row["entry"] != doing.corrects for row in known):
        raise Refused(
            f"sampled: the result of that sample of {name} is in the book, entry {known[0]['entry']}.",
            remedy="Correct that entry, or give this one's own number.",
            field="sampled",
        )
    doing.farm_day = sampled_day
    doing.add(
        MilkResult(
            tank=tank,
            sampled_at=draft.sampled,
            reported_day=reported.isoformat(),
            laboratory=draft.laboratory,
            number=draft.number,
            fat_ppm=draft.fat,
            protein_ppm=draft.protein,
            cells_mL=draft.cells,
            bacteria_mL=draft.bacteria,
            urea_n_ug_dL=draft.urea,
            freezing_udegC=draft.freezing,
            words=draft.words,
        )
    )
    told = ", ".join(_as_found(draft.asks()[one], getattr(draft, one), doing.ground) for one in given)
    return f"{name}, sample of {clock.shown(draft.sampled)}: {told}."


def _as_found(ask: Ask, value: int, ground: Ground) -> str:
    """A figure as precisely as it was typed: a laboratory's second decimal is worth money."""
    shown = ask.shown_short(value, ground) if isinstance(ask, Measure) else ask.shown(value, ground)
    return f"{ask.label} {shown}"


class MilkLimitsDraft(ChoreDraft):
    """The limits on counts where this farm's milk goes."""

    cells: Annotated[
        str | None,
        Word(label="cells", help="limit on somatic cells", words=tuple(
            key for key, one in quality_limits().items() if one.what == "cells"
        )),
    ] = None  # fmt: skip
    bacteria: Annotated[
        str | None,
        Word(label="bacteria", help="limit on the plate count", words=tuple(
            key for key, one in quality_limits().items() if one.what == "bacteria"
        )),
    ] = None  # fmt: skip
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=60)
    ] = None


@chore("milk-limits", "the limits on cells and bacteria", MilkLimitsDraft, roles=[OWNER])
def choose_milk_limits(doing: Doing, draft: MilkLimitsDraft) -> str:
    """Write by which place's limits results are counted from a day on."""
    chosen = {name: getattr(draft, name) for name in CHOICES if getattr(draft, name)}
    if not chosen:
        raise Refused(
            "cells: no limit was given.",
            remedy="Give one for cells, for bacteria or for both.",
            field="cells",
        )
    since = (draft.since or doing.ground.clock.farm_day(doing.ground.now_s)).isoformat()
    for name, key in chosen.items():
        doing.add(FarmChoice(from_day=since, choice=CHOICES[name], chosen=key))
    titles = "; ".join(quality_limits()[key].title for key in chosen.values())
    return f"From {since}: {titles}."

"""A suggestion while it is looked at: its lines taken or left, and what the ration becomes with those taken."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from herdbook.chores.ground import Ground
from herdbook.reports.what_if import WhatIf

if TYPE_CHECKING:
    from herdbook.reports.suggested import Line, Suggested
    from herdbook.reports.suggestion_feeds import Asked

KG_A_TONNE = 1000
MILLION = 1_000_000


@dataclass(slots=True)
class Offer:
    """A suggestion beside the draft it was asked for.

    Args:
        suggested: what the solver said.
        lines: the lines that change something, in the order of the draft.
        taken: feed -> whether its line is taken.
        trial: the draft as its "version in use", with the lines taken on top.
    """

    suggested: Suggested
    lines: tuple[Line, ...]
    taken: dict[int, bool]
    trial: WhatIf

    @classmethod
    def of(cls, suggested: Suggested, draft: WhatIf, ground: Ground) -> Offer:
        """Lay a suggestion beside a draft: all lines taken at first, none where no mix fits.

        Args:
            suggested: the solved question of this draft.
            draft: the draft as it stands; it is not touched.
            ground: the farm's units.
        """
        from herdbook.reports.suggested import lines_of

        lines = tuple(line for line in lines_of(suggested, ground) if line.is_change)
        trial = WhatIf(draft.name, draft.feeds, draft.items, draft.targets, ground)
        offer = cls(suggested, lines, dict.fromkeys((line.feed for line in lines), False), trial)
        if suggested.is_answer:
            offer.take_all()
        return offer

    def toggle(self, feed: int) -> None:
        """Take a line, or leave it again."""
        self._take(feed, not self.taken[feed])

    def take_all(self) -> None:
        """Take every line; leave all where all were taken."""
        wanted = not all(self.taken.values())
        for feed in self.taken:
            self._take(feed, wanted)

    def _take(self, feed: int, wanted: bool) -> None:
        line = next(one for one in self.lines if one.feed == feed)
        self.taken[feed] = wanted
        if wanted:
            self.trial.change(feed, line.after_mg, line.basis)  # type: ignore[arg-type]  # of an item
        else:
            self.trial.put_back(feed)

    def accept(self, draft: WhatIf) -> int:
        """Put the lines that are taken into the draft; how many they were."""
        for line in self.lines:
            if self.taken[line.feed]:
                draft.change(line.feed, line.after_mg, line.basis)  # type: ignore[arg-type]  # of an item
        return sum(self.taken.values())

    def as_fed_kg(self, line: Line, mg: int) -> float:
        """A line's milligrams as kilograms as fed."""
        dry_ppm = self.trial.feeds[line.feed].dry_ppm
        return mg / dry_ppm if line.basis == "dry matter" and dry_ppm else mg / MILLION

    def cost_cents(self, line: Line) -> float | None:
        """What taking a line changes the cost of a head and day by; none without a price."""
        price = self.trial.feeds[line.feed].cents_per_t
        if price is None:
            return None
        return (
            (self.as_fed_kg(line, line.after_mg) - self.as_fed_kg(line, line.before_mg)) * price / KG_A_TONNE
        )

    def costs_cents(self, *, all_lines: bool = False) -> float:
        """What the lines taken (or all of them) change the cost by; feeds without a price are not in it."""
        wanted = [line for line in self.lines if all_lines or self.taken[line.feed]]
        return sum(cents for line in wanted if (cents := self.cost_cents(line)) is not None)


def asked_for(draft: WhatIf, aim: str) -> Asked:
    """What the desk asks of the solver for a draft: feeds held stay, feeds set to nothing are on offer beside."""
    from herdbook.reports.suggestion_feeds import Asked

    held: Mapping[int, None] = {item.feed: None for item in draft.items if item.is_locked}
    beside = tuple(row.feed for row in draft.rows() if not row.mg and row.in_use_as_fed_kg is None)
    return Asked(aim, fix=held, also=beside)


def items_of(draft: WhatIf) -> list[tuple[int, int, str]]:
    """The draft's items, as the solver's question takes them."""
    return [(item.feed, item.mg, item.basis) for item in draft.items]


def held_by(offer: Offer, ground: Ground) -> list[str]:
    """What keeps the answer from being better, the dearest first, or which limits quarrel; in a line."""
    from herdbook.reports.suggestion_words import figure_of, quarrel_said
    from herdbook.solving.answers import Quarrel

    found = offer.suggested.found
    if isinstance(found, Quarrel):
        quarrel = "; ".join(quarrel_said(found, offer.suggested.question.programme, ground))
        return [f"{quarrel}."]
    binding = sorted((one for one in found.limits if one.side), key=lambda one: -one.worth)
    bounds = [f"{figure_of(one.limit).label} {one.side}" for one in binding]
    return [f"Held by the targets of {', '.join(bounds)}."] if bounds else []


def told_whole(offer: Offer, ground: Ground) -> list[str]:
    """What each bound is worth, which prices the answer stands between, what would come in: for reading at leisure."""
    from herdbook.reports.showing import in_farm_units, unit_word
    from herdbook.reports.suggestion_tables import step_of
    from herdbook.reports.suggestion_words import bound_said, figure_of, number_said
    from herdbook.solving.answers import Answer

    found, units = offer.suggested.found, ground.units
    if not isinstance(found, Answer):
        return []
    lines = []
    for one in found.binding:
        of = figure_of(one.limit)
        step = step_of(of, ground)
        said = number_said(step, of.unit, 2, ground)
        saves = units.number(one.worth * step / 100, 3)
        bound = bound_said(one.limit, one.side or "low", ground)
        lines.append(
            f"{bound}: easing it by {said} {unit_word(of.unit, units)} saves {units.currency}{saves} a head."
        )

    def price(cents_a_kg: float | None) -> str:
        if cents_a_kg is None:
            return "any"
        return units.number(in_farm_units(cents_a_kg * KG_A_TONNE, "cents/t", units), 0)

    bulk = f"{units.currency}/{units.bulk}"
    for feed in found.feeds:
        if feed.comes_in_below_cents is not None:
            lines.append(f"{feed.feed} would come in below {price(feed.comes_in_below_cents)} {bulk}.")
        elif feed.as_fed_kg > 0 and feed.at not in ("fixed", "left out"):
            low, high = price(feed.stands_from_cents), price(feed.stands_to_cents)
            lines.append(f"{feed.feed}: all stays as it is from {low} to {high} {bulk}.")
    return lines

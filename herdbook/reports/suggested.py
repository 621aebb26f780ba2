"""A feed problem solved: the amounts suggested beside today's, and what accepted lines make of the ration."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from herdbook.chores.ground import Ground
from herdbook.reports.ration import judged_against
from herdbook.reports.suggestion_asks import AS_THE_REST, LEAST_COST, per_head
from herdbook.reports.suggestion_feeds import Offered
from herdbook.reports.suggestion_question import Question
from herdbook.reports.suggestion_words import figure_key, figure_of
from herdbook.science.figures import figure_value
from herdbook.science.ration import Part, Totals, totals
from herdbook.solving.answers import Answer, ChangeAnswer, FeedAnswer, Nearest, Quarrel
from herdbook.solving.programme import Feed, Programme
from herdbook.units import MASS_MG, Quantity, parse_number, unit

MILLION = 1_000_000
DUST = 2e-5
"""Less than this part of today's amount is the solver's own grain, and no change."""
ROUNDS, SETTLED = 12, 1e-7
TYPED_DECIMALS = (2, 3, 4)


@dataclass(frozen=True)
class Suggested:
    """What the solver says to a question.

    Attributes:
        question: what was asked.
        found: the answer, or the bounds that cannot all hold.
        nearest: when they cannot, the ration that comes nearest.
        as_fed_kg: the amounts of the answer, else of the nearest ration, a head a day, in the order of the question.
    """

    question: Question
    found: Answer | ChangeAnswer | Quarrel
    nearest: Nearest | None
    as_fed_kg: tuple[float, ...]

    @property
    def is_answer(self) -> bool:
        """Whether every limit holds."""
        return not isinstance(self.found, Quarrel)

    @cached_property
    def sums(self) -> Totals:
        """What the suggested amounts carry, added up as a ration's sheet does."""
        return sums_of(self.question.offered, self.as_fed_kg)

    @property
    def cost_cents(self) -> float | None:
        """What the suggested amounts cost a head a day; none when a feed of them has no price."""
        return _cost(self.question.offered, self.as_fed_kg, self.question.unpriced)

    @property
    def today_cents(self) -> float | None:
        """What today's amounts cost, counted in the same way."""
        today = [one.today_kg for one in self.question.offered]
        return _cost(self.question.offered, today, self.question.unpriced)

    @property
    def changed(self) -> tuple[int, ...]:
        """Places of the feeds whose amount changes."""
        pairs = zip(self.question.offered, self.as_fed_kg, strict=True)
        return tuple(at for at, (one, kg) in enumerate(pairs) if kg != one.today_kg)

    @property
    def left_out(self) -> Mapping[str, tuple[str, ...]]:
        """Feeds on offer that were left out, with the nutrients they lack."""
        return self.found.left_out

    def feed_answer(self, at: int) -> FeedAnswer | None:
        """What a least-cost answer says of the feed at that place."""
        return self.found.feeds[at] if isinstance(self.found, Answer) else None


def solve(question: Question) -> Suggested:
    """Solve a question; nothing of the book is touched, so it may run in a thread.

    What a feed of the ration lacks is counted as the rest of the suggested ration has it, which is found by solving
    again with what the last answer had until that stands.

    Raises:
        Refused: the question cannot be put to a solver; the sentence says which part.
        HerdbookError: the solver gave up.
    """
    programme = question.programme
    suggested = _solved(question, programme)
    if question.asked.unknown != AS_THE_REST or not question.lacking.as_the_rest:
        return suggested
    for _ in range(ROUNDS):
        again = _as_the_rest(programme, question, suggested.sums)
        if again == programme:
            break
        programme = again
        suggested = _solved(question, programme)
    return suggested


def _solved(question: Question, programme: Programme) -> Suggested:
    from herdbook.solving.least_cost import least_cost
    from herdbook.solving.nearest import nearest
    from herdbook.solving.smallest_change import smallest_change

    question = replace(question, programme=programme)
    way = least_cost if question.asked.aim == LEAST_COST else smallest_change
    found = way(programme)
    if isinstance(found, Quarrel):
        near = nearest(programme)
        amounts = [near.as_fed_kg[feed.name] for feed in programme.feeds]
        return Suggested(question, found, near, _without_grain(programme.feeds, amounts))
    amounts = [one.as_fed_kg for one in found.feeds]
    return Suggested(question, found, None, _without_grain(programme.feeds, amounts))


def _without_grain(feeds: Sequence[Feed], amounts: Sequence[float]) -> tuple[float, ...]:
    """The amounts, those that differ from today's by the solver's grain alone set to today's."""
    pairs = zip(feeds, amounts, strict=True)
    return tuple(
        feed.present_kg if abs(kg - feed.present_kg) < max(DUST * feed.present_kg, 1e-6) else kg
        for feed, kg in pairs
    )


def _as_the_rest(programme: Programme, question: Question, sums: Totals) -> Programme:
    """The problem with each lacking figure as all of these totals has it; as it was where that has settled.

    What the whole has, the lacking part counted as before, is right at a bound that binds, so two rounds mostly do.
    """
    feeds = []
    for feed in programme.feeds:
        shares = {
            key: found.share * (1 - found.unknown_share) + feed.counted_as[key] * found.unknown_share
            for key in question.lacking.as_the_rest.get(feed.name, ())
            if (found := sums.nutrients.get(key)) is not None and found.share is not None
        }
        moved = any(abs(share - feed.counted_as[key]) > SETTLED for key, share in shares.items())
        feeds.append(replace(feed, counted_as={**feed.counted_as, **shares}) if moved else feed)
    return replace(programme, feeds=tuple(feeds))


def sums_of(offered: Sequence[Offered], as_fed_kg: Sequence[float]) -> Totals:
    """Totals of amounts of the feeds on offer; mixes are taken apart as a ration's sheet takes them."""
    return totals(
        Part(leaf.feed, leaf.kind, kg * leaf.as_fed_kg, leaf.dry_fraction, leaf.nutrients)
        for one, kg in zip(offered, as_fed_kg, strict=True)
        if kg > 0
        for leaf in one.of_one_kg
    )


def _cost(offered: Sequence[Offered], as_fed_kg: Sequence[float], without: Sequence[str]) -> float | None:
    cents = 0.0
    for one, kg in zip(offered, as_fed_kg, strict=True):
        if one.cents_per_t is not None:
            cents += kg * one.cents_per_t / 1000
        elif kg > 0 and one.name not in without:
            return None
    return cents


def parted_from_sheet(suggested: Suggested) -> tuple[str, ...]:
    """Labels of limits that the answer keeps to but the ration's own sheet would judge otherwise.

    The two may part where analyses are missing: the sheet's figure is over the matter that has them all.
    """
    if not suggested.is_answer:
        return ()
    parted = []
    for limit in suggested.question.programme.limits:
        if limit.low is None and limit.figure in suggested.question.ceilings:
            continue  # nobody asked for it: it is counted by what was determined, as a version's cautions are
        value = figure_value(figure_key(limit), suggested.sums).value
        if judged_against(figure_of(limit), value, (limit.low, None, limit.high)).word in ("low", "high"):
            parted.append(figure_of(limit).label)
    return tuple(dict.fromkeys(parted))


@dataclass(frozen=True, slots=True)
class Line:
    """One feed of a suggestion as it would stand in a version: milligrams on a basis, before and after."""

    feed: int
    name: str
    basis: str
    before_mg: int
    after_mg: int

    @property
    def is_change(self) -> bool:
        """Whether accepting it changes anything."""
        return self.before_mg != self.after_mg


def lines_of(suggested: Suggested, ground: Ground) -> tuple[Line, ...]:
    """The suggestion as lines to accept or leave, each amount on the basis its item is set in.

    Amounts are rounded as a person would type them: to hundredths of the farm's unit, or as much finer as keeps every
    limit of the answer.
    """
    exact = tuple(suggested.as_fed_kg)
    for decimals in TYPED_DECIMALS:
        rounded = tuple(
            _rounded_kg(one, kg, decimals, ground) if at in suggested.changed else kg
            for at, (one, kg) in enumerate(zip(suggested.question.offered, exact, strict=True))
        )
        if not suggested.is_answer or _keeps(suggested, rounded):
            exact = rounded
            break
    return tuple(
        _line(one, kg, at in suggested.changed)
        for at, (one, kg) in enumerate(zip(suggested.question.offered, exact, strict=True))
    )


def _line(one: Offered, kg: float, is_changed: bool) -> Line:
    before = one.item_mg
    factor = one.dry_fraction if one.basis == "dry matter" else 1.0
    after = round(kg * factor * MILLION) if is_changed else before
    return Line(one.feed, one.name, one.basis, before, after)


def _rounded_kg(one: Offered, kg: float, decimals: int, ground: Ground) -> float:
    factor = one.dry_fraction if one.basis == "dry matter" else 1.0
    shown = MASS_MG.value_in(kg * factor * MILLION, ground.units.load)
    back = Quantity(parse_number(f"{shown:.{decimals}f}"), unit(ground.units.load), "")
    return back.stored(unit("g"), parts=1000) / MILLION / factor


def _keeps(suggested: Suggested, amounts: Sequence[float]) -> bool:
    """Whether rounded amounts are judged no worse than the exact ones."""
    parted = set(parted_from_sheet(suggested))
    return set(parted_from_sheet(replace(suggested, as_fed_kg=tuple(amounts)))) <= parted


def texts_of(name: str, lines: Sequence[Line], taken: Mapping[int, bool], ground: Ground) -> dict[str, Any]:
    """The texts of the `ration` chore for the next version, with the lines that were taken.

    Args:
        name: the ration's name.
        lines: the suggestion's lines.
        taken: feed -> whether its line is taken; a feed that is not named is left as it is today.
        ground: the farm's units.
    """
    ask, items = per_head("amount"), []
    for line in lines:
        mg = line.after_mg if taken.get(line.feed) else line.before_mg
        if mg > 0:
            dry = " dm" if line.basis == "dry matter" else ""
            items.append(f"{line.name}={ask.typed_again(mg, ground)}{dry}")
    return {"name": name, "item": items}

"""The tables of a suggestion: feeds beside today's, limits with what each is worth, and what quarrels or is missed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from herdbook.chores.ground import Ground
from herdbook.reports.figures import Column, Figure, Line, Table, entries_of, in_kg
from herdbook.reports.showing import PRICE
from herdbook.reports.suggested import Suggested
from herdbook.reports.suggestion_words import bound_said, figure_key, figure_of, quarrel_said
from herdbook.science.figures import RationFigure, figure_value
from herdbook.solving.answers import Answer, FeedAnswer, LimitAnswer, Quarrel
from herdbook.solving.programme import Limit

KG_A_TONNE = 1000
STANDS = {
    "": "",
    "none": "not used",
    "least": "at its least",
    "most": "at its most",
    "stock": "end of the store",
    "fixed": "held",
    "left out": "left out",
}
STEPS = {"mEq/kg": 10.0, "IU/kg": 100.0, "ppb": 10.0, "mg": 10.0, "ug": 100.0, "IU": 1000.0}
"""A step of a limit worth talking of, where the last decimal shown is too fine to be one."""

FEED_COLUMNS = (
    Column("feed", "Feed"),
    Column("today_kg", "Today", "kg", 2),
    Column("suggested_kg", "Suggested", "kg", 2),
    Column("change_kg", "Change", "kg", 2),
    Column("change_percent", "Change %", "%", 1),
    Column("cost_change_cents", "Cost change", "cents", 2),
    Column("stands", "Stands"),
    Column("price_cents_per_t", "Price", "cents/t", 2),
    Column("stands_from_cents_per_t", "Stands from", "cents/t", 2),
    Column("stands_to_cents_per_t", "Stands to", "cents/t", 2),
    Column("comes_in_below_cents_per_t", "Comes in below", "cents/t", 2),
)
LIMIT_COLUMNS = (
    Column("figure", "Figure"),
    Column("low", "Low", "own", 2),
    Column("high", "High", "own", 2),
    Column("today", "Today", "own", 2),
    Column("suggested", "Suggested", "own", 2),
    Column("unit", "Unit"),
    Column("binds", "Binds"),
    Column("step", "Step", "own", 2),
    Column("worth_cents", "Saves by a step", "cents", 3),
)
QUARREL_COLUMNS = (Column("bound", "Cannot all hold"),)
MISS_COLUMNS = (
    Column("figure", "Figure"),
    Column("bound", "Asked"),
    Column("value", "Nearest", "own", 2),
    Column("missed_by", "Misses by", "own", 2),
    Column("unit", "Unit"),
)


class Telling:
    """What every figure of a suggestion says of itself.

    Args:
        suggested: the solved question.
        ground: the farm's units.
        rule: how the amounts were found, with the solver and the targets.
    """

    def __init__(self, suggested: Suggested, ground: Ground, rule: str) -> None:
        self.suggested, self.ground, self.rule = suggested, ground, rule
        self.under = entries_of(*suggested.question.entries)
        self.target = entries_of(suggested.question.target_entry)

    def solved(
        self,
        value: float | str | None,
        unit: str = "",
        why: str = "",
        inputs: Mapping[str, Any] | None = None,
    ) -> Figure:
        """A figure of the solver's, resting on all that was put to it."""
        rule = f"{why}: {self.rule}" if why else self.rule
        return Figure(value, unit, rule, inputs or {}, entries=self.under)


def feeds_table(telling: Telling) -> Table:
    """Every feed on offer, today's amount beside the suggested one."""
    places = range(len(telling.suggested.question.offered))
    lines = tuple(_feed_line(telling, at) for at in places)
    return Table("feeds", "Feeds a head a day, as fed", FEED_COLUMNS, lines, "No feed is on offer.")


def _feed_line(telling: Telling, at: int) -> Line:
    suggested = telling.suggested
    one, kg = suggested.question.offered[at], suggested.as_fed_kg[at]
    said = suggested.feed_answer(at)
    change = kg - one.today_kg
    price = one.cents_per_t
    inputs = _inputs_of(telling, at)
    under = entries_of(*one.entries)
    both = {"today": in_kg(one.today_kg), "suggested": in_kg(kg)}
    unpriced = () if price is not None else (f"{one.name} has no price",)
    return Line(
        one.name,
        {
            "feed": Figure(one.name),
            "today_kg": Figure(
                one.today_kg,
                "kg",
                "as set, at the dry matter in force",
                {"dry matter": f"{100 * one.dry_fraction:.1f} %"},
                entries=entries_of(*(one.fed.weight_entries if one.today_kg else ())),
            ),
            "suggested_kg": telling.solved(kg, "kg", inputs=inputs),
            "change_kg": Figure(change, "kg", "suggested less today", both, entries=telling.under),
            "change_percent": Figure(
                100 * change / one.today_kg if one.today_kg else None,
                "%",
                "change over today",
                both,
                entries=telling.under,
            ),
            "cost_change_cents": Figure(
                None if price is None else change * price / KG_A_TONNE,
                "cents",
                "change times price",
                both,
                unpriced,
                telling.under,
                flag="?" if unpriced else "",
            ),
            "stands": telling.solved(_stands(suggested, at, said), why="where the amount stands"),
            "price_cents_per_t": Figure(price, "cents/t", missing=unpriced, entries=under)
            if one.price_entries
            else Figure(price, "cents/t", "as typed for this question", missing=unpriced),
            **_prices(telling, said),
        },
    )


def _prices(telling: Telling, said: FeedAnswer | None) -> Mapping[str, Figure]:
    """Prices a tonne at which the answer turns; none of them where the aim was not the cost."""

    def turning(cents_a_kg: float | None, why: str) -> Figure:
        value = None if cents_a_kg is None else cents_a_kg * KG_A_TONNE
        return telling.solved(value, "cents/t", why)

    used = said is not None and said.as_fed_kg > 0
    return {
        "stands_from_cents_per_t": turning(
            said.stands_from_cents if said and used else None,
            "down to this price, this one alone changed, all amounts stay",
        ),
        "stands_to_cents_per_t": turning(
            said.stands_to_cents if said and used else None,
            "up to this price, this one alone changed, all amounts stay",
        ),
        "comes_in_below_cents_per_t": turning(
            said.comes_in_below_cents if said else None, "under this price the feed comes into the ration"
        ),
    }


def _stands(suggested: Suggested, at: int, said: FeedAnswer | None) -> str:
    one = suggested.question.offered[at]
    if said is not None:
        return STANDS[said.at]
    if one.name in suggested.left_out:
        return STANDS["left out"]
    return "" if suggested.as_fed_kg[at] > 0 else STANDS["none"]


def _inputs_of(telling: Telling, at: int) -> dict[str, Any]:
    """What the solver was given of a feed, in words."""
    programme = telling.suggested.question.programme
    feed = programme.feeds[at]
    most, stock = programme.most_as_fed(feed)
    told: dict[str, Any] = {"dry matter": f"{100 * feed.dry_fraction:.1f} %"}
    if feed.price_cents_per_kg is not None:
        told["price"] = Figure(feed.price_cents_per_kg * KG_A_TONNE, PRICE)
    if feed.least_kg:
        told["least"] = in_kg(feed.as_fed(feed.least_kg), "as fed")
    if most < float("inf"):
        told["most"] = in_kg(most, "as fed")
    if stock < float("inf"):
        told["store"] = in_kg(stock, "as fed a head a day")
    return told


def limits_table(telling: Telling) -> Table:
    """Every limit, those that bind first and of them the dearest."""
    suggested = telling.suggested
    found = suggested.found
    if isinstance(found, Quarrel):
        said: dict[Limit, LimitAnswer] = {}
        limits = list(suggested.question.programme.limits)
    else:
        said = {one.limit: one for one in found.limits}
        limits = [one.limit for one in sorted(found.limits, key=lambda one: (not one.side, -one.worth))]
    lines = tuple(_limit_line(telling, limit, said.get(limit)) for limit in limits)
    return Table("limits", "Limits", LIMIT_COLUMNS, lines, "The ration has no targets.")


def _limit_line(telling: Telling, limit: Limit, said: LimitAnswer | None) -> Line:
    of, suggested = figure_of(limit), telling.suggested
    key = figure_key(limit)
    step = step_of(of, telling.ground)
    worth = None
    if said is not None and said.side and isinstance(suggested.found, Answer):
        worth = said.worth * step
    side = said.side if said else ""
    unit = of.unit
    return Line(
        key,
        {
            "figure": Figure(of.label),
            "low": Figure(limit.low, unit, entries=telling.target),
            "high": Figure(limit.high, unit, entries=telling.target),
            "today": Figure(
                figure_value(key, suggested.question.today).value, unit, of.rule, entries=telling.under
            ),
            "suggested": Figure(
                figure_value(key, suggested.sums).value,
                unit,
                f"{of.rule}, of the suggested amounts",
                {
                    one.name: in_kg(kg * one.dry_fraction, "dry matter")
                    for one, kg in zip(suggested.question.offered, suggested.as_fed_kg, strict=True)
                    if kg > 0
                },
                entries=telling.under,
            ),
            "unit": Figure(unit),
            "binds": telling.solved(
                side and bound_said(limit, side, telling.ground), why="the bound that holds the answer"
            ),
            "step": Figure(step if worth is not None else None, unit, "a step worth talking of"),
            "worth_cents": telling.solved(
                worth, "cents", "what easing the bound by a step saves a head a day, at the rate right here"
            ),
        },
    )


def step_of(of: RationFigure, ground: Ground) -> float:
    """By how much a limit is eased when its worth is told, in the figure's unit: its last shown decimal, mostly.

    Of dry matter and weights as fed it is a pound, or half a kilogram.
    """
    if of.key in ("dm_intake", "as_fed"):
        return 0.45359237 if ground.units.load == "lb" else 0.5
    step = 10.0**-of.decimals
    return max(step, STEPS.get(of.unit, step))


def quarrel_tables(telling: Telling) -> Iterator[Table]:
    """What cannot all hold, and what the nearest ration misses; none where there is an answer."""
    suggested, ground = telling.suggested, telling.ground
    if not isinstance(suggested.found, Quarrel) or suggested.nearest is None:
        return
    words = quarrel_said(suggested.found, suggested.question.programme, ground)
    yield Table(
        "quarrel",
        "These cannot all hold; leave out any one and the others can",
        QUARREL_COLUMNS,
        tuple(Line(said, {"bound": telling.solved(said)}) for said in words),
    )
    lines = []
    for miss in suggested.nearest.misses:
        of = figure_of(miss.limit)
        lines.append(
            Line(
                figure_key(miss.limit),
                {
                    "figure": Figure(of.label),
                    "bound": Figure(bound_said(miss.limit, miss.side, ground), entries=telling.target),
                    "value": telling.solved(miss.value, of.unit),
                    "missed_by": telling.solved(miss.missed_by, of.unit, beyond(miss.side)),
                    "unit": Figure(of.unit),
                },
            )
        )
    yield Table("misses", "What the nearest ration misses", MISS_COLUMNS, tuple(lines), "Nothing.")


def beyond(side: str) -> str:
    """How a miss is counted."""
    return "the bound less the value" if side == "low" else "the value less the bound"

"""Milk sold against feed: what milk is worth, what was paid for it, and what is left over the feed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import milk as read_milk
from herdbook.book.reading import money as read_money
from herdbook.chores.ground import Ground
from herdbook.reports.fed import over_pens, pen_days
from herdbook.reports.figures import Column, Figure, Line, Report, Table, days_between, entries_of, total
from herdbook.reports.herd_day import MILKING_PENS, cost_of_herd
from herdbook.reports.load_cost import costs_by_pen_day
from herdbook.reports.spans import Span

DAYS = 28
GRAMS_AND_PARTS = 1_000_000 * 1_000  # grams in a tonne, parts of a cent
WORTH_RULE = "weight picked up times the price of milk of that day"
FEED_RULE = "cost of what was dropped to the milking pens"
OTHER_RULE = "cost of what was dropped to the other pens"
LEFT_RULE = "worth of the milk less feed of the milking pens"
A_COW_RULE = "what is left over the cows in the milking pens, a day"
GROSS_RULE = "what came in and what was taken off before"

WEEK_COLUMNS = (
    Column("week_of", "Week from", "day"),
    Column("days", "Days"),
    Column("shipped_kg", "Shipped", "kg"),
    Column("milk_cents", "Milk worth", "cents"),
    Column("feed_cents", "Feed", "cents"),
    Column("left_cents", "Left", "cents"),
    Column("left_a_cow_cents", "A cow a day", "cents", 2),
)
CHEQUE_COLUMNS = (
    Column("first_day", "From", "day"),
    Column("last_day", "To", "day"),
    Column("received_day", "Came in", "day"),
    Column("paid_cents", "Paid", "cents", 2),
    Column("taken_off_cents", "Taken off", "cents", 2),
    Column("shipped_kg", "Shipped", "kg"),
    Column("milk_cents", "Milk worth", "cents", 2),
    Column("off_cents", "Paid over worth", "cents", 2),
    Column("reference", "Number"),
)
FACT_COLUMNS = {
    "since": Column("since", "From", "day"),
    "until": Column("until", "To", "day"),
    "shipped_kg": Column("shipped_kg", "Shipped", "kg"),
    "milk_cents": Column("milk_cents", "Milk worth", "cents"),
    "feed_cents": Column("feed_cents", "Feed of the milking pens", "cents"),
    "other_feed_cents": Column("other_feed_cents", "Feed of the other pens", "cents"),
    "left_cents": Column("left_cents", "Milk less feed", "cents"),
    "left_a_cow_cents": Column("left_a_cow_cents", "A cow a day", "cents", 2),
}


@dataclass(frozen=True, slots=True)
class MoneyDay:
    """One farm day: what was shipped, what that is worth, what the feed cost, and the cows it was for."""

    day: date
    shipped: Figure
    worth: Figure
    feed: Figure
    other_feed: Figure
    cows: Figure


def make(connection: Any, ground: Ground, *, of: Span | None = None) -> Report:
    """Money of a span of farm days, by week; the last four weeks until yesterday unless told.

    Milk counts on the day it is picked up, feed on the day it is dropped, so a short span may hold milk of
    feed that lies before it.
    """
    yesterday = ground.clock.farm_day(ground.now_s) - timedelta(days=1)
    span = of or Span(yesterday - timedelta(days=DAYS - 1), yesterday)
    days = _days(connection, ground, span)
    weeks: dict[date, list[MoneyDay]] = defaultdict(list)
    for one in days:
        weeks[one.day - timedelta(days=one.day.weekday())].append(one)
    cheques = [
        _cheque(connection, ground, row)
        for row in read_money.milk_cheques(connection, span.first.isoformat(), span.last.isoformat())
    ]
    return Report(
        "money",
        f"Milk and feed, {span}",
        facts={
            "since": Figure(span.first.isoformat(), "day"),
            "until": Figure(span.last.isoformat(), "day"),
            **_totals(days),
            "other_feed_cents": _flagged(total([one.other_feed for one in days], "cents", OTHER_RULE)),
        },
        columns=FACT_COLUMNS,
        tables=(
            Table(
                "weeks", "By week", WEEK_COLUMNS, tuple(_week(monday, its) for monday, its in weeks.items())
            ),
            Table(
                "cheques",
                "Cheques",
                CHEQUE_COLUMNS,
                tuple(_named(cheques)),
                "No cheque was written for these days.",
            ),
        ),
    )


def _days(connection: Any, ground: Ground, span: Span) -> list[MoneyDay]:
    pens = read_herd.pens(connection)
    milking = {pen.pen: pen.name for pen in pens if pen.kind in MILKING_PENS}
    others = {pen.pen: pen.name for pen in pens if pen.pen not in milking}
    costs = costs_by_pen_day(connection, ground, *span)
    fed = pen_days(connection, ground, *span)
    shipped = _shipped(connection, ground, span)

    def feed_of(names: Mapping[int, str], day: date, rule: str) -> Figure:
        made = cost_of_herd(
            [costs.get((pen, day)) for pen in names], over_pens([fed[pen, day] for pen in names], names)
        )
        if made is None:
            missing = (f"nothing dropped on {day.isoformat()}",) if names else ()
            return Figure(None, "cents", rule, missing=missing)
        return replace(made, rule=rule, missing=tuple(f"{gap} on {day.isoformat()}" for gap in made.missing))

    made = []
    for day in days_between(*span):
        herd = over_pens([fed[pen, day] for pen in milking], milking)
        cows = Figure(
            herd.head, "", "heads in the milking pens", entries=entries_of(*dict.fromkeys(herd.head_entries))
        )
        made.append(
            MoneyDay(
                day, *shipped[day], feed_of(milking, day, FEED_RULE), feed_of(others, day, OTHER_RULE), cows
            )
        )
    return made


def _shipped(connection: Any, ground: Ground, span: Span) -> Mapping[date, tuple[Figure, Figure]]:
    """Milk picked up on each farm day and what it is worth."""
    start, end = ground.clock.day_starts(span.first), ground.clock.day_starts(span.last + timedelta(days=1))
    tickets: dict[date, list[Any]] = {day: [] for day in days_between(*span)}
    for row in read_milk.pickups(connection, start, end):
        tickets[ground.clock.farm_day(row["picked_at"])].append(row)
    prices = read_money.milk_prices(connection, span.last.isoformat())
    made = {}
    for day, its in tickets.items():
        price = next((row for row in reversed(prices) if row["from_day"] <= day.isoformat()), None)
        grams, under = sum(row["milk_g"] for row in its), [row["entry"] for row in its]
        milk = Figure(grams / 1000 if its else None, "kg", "sum of the pickups", entries=entries_of(*under))
        made[day] = (milk, _worth(grams, under, price, day))
    return made


def _worth(grams: int, under: Sequence[int], price: Any, day: date) -> Figure:
    if not under:
        return Figure(None, "cents", WORTH_RULE)
    if price is None:
        missing = (f"no price of milk on {day.isoformat()}",)
        return Figure(None, "cents", WORTH_RULE, missing=missing, entries=entries_of(*under), flag="?")
    return Figure(
        grams * price["mcents_per_t"] / GRAMS_AND_PARTS,
        "cents",
        WORTH_RULE,
        entries=entries_of(*under, price["entry"]),
    )


def _totals(days: Sequence[MoneyDay]) -> dict[str, Figure]:
    worth = total([one.worth for one in days], "cents", WORTH_RULE)
    feed = total([one.feed for one in days], "cents", FEED_RULE)
    cow_days = total([one.cows for one in days], "", "heads in the milking pens, summed over the days")
    left = _less(worth, feed)
    return {
        "shipped_kg": total([one.shipped for one in days], "kg", "sum of the pickups"),
        "milk_cents": _flagged(worth),
        "feed_cents": _flagged(feed),
        "left_cents": left,
        "left_a_cow_cents": _a_cow(left, cow_days),
    }


def _less(worth: Figure, feed: Figure) -> Figure:
    """Milk less feed; where either has no value there is no difference, which is not nought."""
    missing = (
        *worth.missing,
        *feed.missing,
        *(("no milk was picked up",) if worth.value is None and not worth.missing else ()),
        *(("no feed with a price was dropped",) if feed.value is None and not feed.missing else ()),
    )
    both = worth.number is not None and feed.number is not None
    value = worth.number - feed.number if both else None  # type: ignore[operator]
    return _flagged(
        Figure(
            value,
            "cents",
            LEFT_RULE,
            {"milk": worth, "feed": feed},
            tuple(dict.fromkeys(missing)),
            lambda: sorted({*worth.entries(), *feed.entries()}),
        )
    )


def _a_cow(left: Figure, cow_days: Figure) -> Figure:
    value = left.number / cow_days.number if left.number is not None and cow_days.number else None
    return replace(
        left,
        value=value,
        rule=A_COW_RULE,
        inputs={"left": left, "cow days": cow_days},
        entries=lambda: sorted({*left.entries(), *cow_days.entries()}),
    )


def _flagged(figure: Figure) -> Figure:
    return replace(figure, flag="?" if figure.missing else "")


def _week(monday: date, days: Sequence[MoneyDay]) -> Line:
    return Line(
        monday.isoformat(),
        {
            "week_of": Figure(monday.isoformat(), "day"),
            "days": Figure(len(days), "", "days of the week in the span"),
            **_totals(days),
        },
    )


def _cheque(connection: Any, ground: Ground, row: Any) -> dict[str, Figure]:
    span = Span(date.fromisoformat(row["first_day"]), date.fromisoformat(row["last_day"]))
    days = _shipped(connection, ground, span).values()
    shipped = total([milk for milk, _ in days], "kg", "sum of the pickups of its days")
    worth = _flagged(total([worth for _, worth in days], "cents", WORTH_RULE))
    under = entries_of(row["entry"])
    gross = Figure(row["paid_cents"] + row["taken_off_cents"], "cents", GROSS_RULE, entries=under)
    whole = worth.number is not None and not worth.missing
    return {
        "first_day": Figure(row["first_day"], "day", entries=under),
        "last_day": Figure(row["last_day"], "day", entries=under),
        "received_day": Figure(row["received_day"], "day", entries=under),
        "paid_cents": Figure(row["paid_cents"], "cents", entries=under),
        "taken_off_cents": Figure(row["taken_off_cents"], "cents", entries=under),
        "shipped_kg": shipped,
        "milk_cents": worth,
        "off_cents": Figure(
            row["paid_cents"] + row["taken_off_cents"] - worth.number
            if whole and worth.number is not None
            else None,
            "cents",
            "what came in and was taken off before, less what the milk is worth by the price written",
            {"paid and taken off": gross, "worth": worth},
            worth.missing or (() if whole else ("no milk was picked up",)),
            lambda: sorted({row["entry"], *worth.entries()}),
        ),
        "reference": Figure(row["reference"] or None, entries=under),
    }


def _named(cheques: Sequence[dict[str, Figure]]) -> list[Line]:
    """Each under its span; a second one for the same days is told apart by a number."""
    seen: dict[str, int] = defaultdict(int)
    lines = []
    for cells in cheques:
        name = f"{cells['first_day'].value}..{cells['last_day'].value}"
        seen[name] += 1
        lines.append(Line(name if seen[name] == 1 else f"{name} {seen[name]}", cells))
    return lines

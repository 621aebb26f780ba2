"""What a suggestion is bound by besides the targets, set feed by feed at the desk: price, least, most, stock, days."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Literal

from rich.text import Text

from herdbook.chores.ground import Ground
from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.reports.showing import PRICE, in_farm_units
from herdbook.screens.parts.lines import pieces
from herdbook.screens.parts.rows_table import Column, Row
from herdbook.screens.parts.signs import SignSet
from herdbook.screens.parts.understood import Understood

if TYPE_CHECKING:
    from herdbook.chores.asking import Ask
    from herdbook.reports.suggestion_feeds import Asked
    from herdbook.reports.tried import TriedRow
    from herdbook.reports.what_if import WhatIf

Bound = Literal["price", "least", "most", "stock"]
BOUNDS: tuple[Bound, ...] = ("price", "least", "most", "stock")
DAYS = "days"
"""Key of the row that asks how long the store must last; it is no feed."""
MILLION = 1_000_000
MOST_DAYS = 1_000
HINTS: Mapping[Bound, str] = {
    "price": "412 or 0.12/lb; -1 takes it back",
    "least": "2 or 2dm; -1 takes it back",
    "most": "6 or 6dm; -1 takes it back",
    "stock": "what may be used; -1 takes it back",
}
TAKEN_BACK = ("-", "−", "-1", "−1")


@dataclass(slots=True)
class DeskLimits:
    """What was set for one ration's suggestions; what is not here is as the book has it.

    Args:
        price: feed -> cents a tonne as fed.
        least, most: feed -> milligrams and basis.
        stock: feed -> grams as fed.
        days: how long the store must last; none when it does not bind.
    """

    price: dict[int, int] = field(default_factory=dict)
    least: dict[int, tuple[int, str]] = field(default_factory=dict)
    most: dict[int, tuple[int, str]] = field(default_factory=dict)
    stock: dict[int, int] = field(default_factory=dict)
    days: int | None = None

    def laid_on(self, asked: Asked, feeds: Sequence[int]) -> Asked:
        """A question with these limits of the feeds that are on offer."""

        def of(its: Mapping[int, Any]) -> dict[int, Any]:
            return {feed: value for feed, value in its.items() if feed in feeds}

        return replace(
            asked,
            price={feed: float(cents) for feed, cents in of(self.price).items()},
            least=of(self.least),
            most=of(self.most),
            stock_g=of(self.stock) if self.days else {},
            from_store=self.days is not None,
            days=self.days,
        )

    def take_back(self, bound: Bound, feed: int) -> None:
        """Leave a bound as the book has it."""
        getattr(self, bound).pop(feed, None)

    def put(self, bound: Bound, feed: int, value: Any) -> None:
        """Set a bound of a feed."""
        getattr(self, bound)[feed] = value

    def as_plain(self) -> dict[str, Any]:
        """As it is kept with the drafts."""
        found: dict[str, Any] = {
            bound: [[feed, value] for feed, value in getattr(self, bound).items()] for bound in BOUNDS
        }
        return {**found, DAYS: self.days}

    @classmethod
    def from_plain(cls, kept: Mapping[str, Any]) -> DeskLimits:
        """As it was kept."""

        def amounts(bound: str) -> dict[int, tuple[int, str]]:
            return {int(feed): (int(value[0]), str(value[1])) for feed, value in kept.get(bound, ())}

        def whole(bound: str) -> dict[int, int]:
            return {int(feed): int(value) for feed, value in kept.get(bound, ())}

        days = kept.get(DAYS)
        return cls(
            whole("price"),
            amounts("least"),
            amounts("most"),
            whole("stock"),
            None if days is None else int(days),
        )

    @property
    def is_set(self) -> bool:
        """Whether anything differs from the book."""
        return self != DeskLimits()


def ask_of(bound: Bound) -> Ask:
    """How a bound is asked."""
    from herdbook.chores.measures import PricePerWeight, ask_per_head
    from herdbook.reports.suggestion_asks import feed_stock

    if bound == "price":
        return PricePerWeight(label="price")
    return feed_stock("stock").second if bound == "stock" else ask_per_head(bound)


def read_limit(bound: Bound, name: str, text: str, ground: Ground) -> Understood:
    """A typed bound as it will stand; its value is what `DeskLimits` holds, none to take it back."""
    from herdbook.chores.measures import is_dm

    typed = plain(text, longest=60).strip()
    if typed in TAKEN_BACK or (bound == "least" and typed.strip("0.,") == ""):
        return Understood(value=(None,), shown=f"{name}: as the book has it")
    if bound == "most" and typed.strip("0.,") == "":
        return Understood(value=((0, "as fed"),), shown=f"{name} is left out")
    ask = ask_of(bound)
    value = ask.understand(typed, ground)
    shown = ask.shown(value, ground)
    if bound in ("least", "most"):
        dry = is_dm(typed)
        words = f"{'at least' if bound == 'least' else 'at most'} {shown} {'dry matter' if dry else 'as fed'} a head"
        return Understood(value=((value, "dry matter" if dry else "as fed"),), shown=words)
    return Understood(value=(value,), shown=shown if bound == "price" else f"{shown} may be used")


def read_days(text: str, ground: Ground) -> Understood:
    """How many days the store must last; 0 when it does not bind."""
    from herdbook.units import parse_number

    typed = plain(text, longest=30).strip()
    try:
        number = parse_number(typed, decimal=ground.units.decimal)
    except ValueError:
        number = None
    if typed in TAKEN_BACK or number == 0:
        return Understood(value=(None,), shown="the store does not bind")
    if number is None or number.denominator != 1 or not 0 < number <= MOST_DAYS:
        raise Refused("days: that is no number of days.", remedy="Type 1 to 1,000, or 0.", field=DAYS)
    return Understood(value=(int(number),), shown=f"the store must last {int(number)} days")


def limit_columns(ground: Ground) -> list[Column]:
    """The columns of the limits; amounts a head in the farm's unit, stock in bulk."""
    units = ground.units
    return [
        Column("Feed", 8, grows=True),
        Column(f"{units.currency}/{units.bulk}", 6, align="right"),
        Column("Least", 5, align="right"),
        Column("Most", 5, align="right"),
        Column("Store", 6, align="right", from_width=36),
    ]


def limit_rows(
    tried: WhatIf,
    limits: DeskLimits,
    store_g: Mapping[int, float],
    at: Bound,
    chosen: str | None,
    ground: Ground,
    signs: SignSet,
) -> list[Row]:
    """Each feed's bounds: typed ones stand out, the book's own are dim; the one asked for is in brackets."""
    rows = [_limit_row(row, tried, limits, store_g, at, chosen, ground, signs) for row in tried.rows()]
    days = "–" if limits.days is None else str(limits.days)
    mark = f"[{days}]" if chosen == DAYS else days
    return [*rows, Row(DAYS, [Text("Days to last", "dust"), Text(mark, "hay" if limits.days else "")])]


def _limit_row(
    row: TriedRow,
    tried: WhatIf,
    limits: DeskLimits,
    store_g: Mapping[int, float],
    at: Bound,
    chosen: str | None,
    ground: Ground,
    signs: SignSet,
) -> Row:
    feed, units = row.feed, ground.units

    def price(cents: float | None) -> str:
        return "–" if cents is None else units.number(in_farm_units(cents, PRICE, units), 0)

    def weight(mg: int | None, basis: str = "as fed") -> str:
        dry = "d" if basis == "dry matter" else ""
        return "–" if mg is None else f"{units.number(in_farm_units(mg / MILLION, 'kg', units), 1)}{dry}"

    def bulk(grams: float | None) -> str:
        from herdbook.units import MASS_G

        return "–" if grams is None else units.number(MASS_G.value_in(grams, units.bulk), 1)

    its = tried.feeds[feed]
    makers: Mapping[Bound, Callable[[], tuple[str, bool]]] = {
        "price": lambda: (price(limits.price.get(feed, its.cents_per_t)), feed in limits.price),
        "least": lambda: (weight(*limits.least.get(feed, (None,))), feed in limits.least),
        "most": lambda: (weight(*limits.most.get(feed, (its.most_mg,))), feed in limits.most),
        "stock": lambda: (bulk(limits.stock.get(feed, store_g.get(feed))), feed in limits.stock),
    }
    cells: list[Text | str] = [pieces((signs.limit, "ice") if row.is_locked else "", plain(its.name))]
    for bound in BOUNDS:
        words, typed = makers[bound]()
        asked = chosen == str(feed) and bound == at
        cells.append(Text(f"[{words}]" if asked else words, "hay" if typed else "" if asked else "dust"))
    return Row(str(feed), cells)


def said_of_limits(limits: DeskLimits) -> list[Text]:
    """What the table of limits is for, and how the store binds."""
    binds = (
        f"The store must last {limits.days} days for the cows of its pens."
        if limits.days
        else "The store does not bind: type the days it must last in the last row."
    )
    return [
        Text("   Dim is the book's own. Space holds a feed as it is, O offers another.", "dust"),
        Text(f"   {binds}", "dust"),
    ]

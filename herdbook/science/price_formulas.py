"""Federal order price formulas by month: which set of numbers was in force, in exact decimals.

Prices a pound are rounded once, at the end, to four places; prices a hundredweight to cents; halves away from
nought. That order reproduces every announced price at hand; rounding inside the protein formula does not.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from types import MappingProxyType
from typing import Any

from herdbook.errors import Refused
from herdbook.science.tables_as_published import FOLDER

PER_LB = Decimal("0.0001")
PER_CWT = Decimal("0.01")
CELL_RATE = Decimal("0.00001")


def rounded(value: Decimal, step: Decimal) -> Decimal:
    """A price rounded to a step, halves away from nought."""
    return value.quantize(step, rounding=ROUND_HALF_UP)


@dataclass(frozen=True, slots=True)
class PriceSet:
    """The numbers of one set of price formulas; None where what was read does not print them.

    Attributes:
        key, title: what it is called.
        first_month, last_month: "YYYY-MM", months it is known to hold for.
        source: where it was read.
    """

    key: str
    title: str
    first_month: str
    last_month: str
    source: str
    butter_less: Decimal | None = None
    butterfat_times: Decimal | None = None
    butterfat_over: Decimal | None = None
    cheese_less: Decimal | None = None
    protein_times: Decimal | None = None
    fat_times: Decimal | None = None
    fat_kept: Decimal | None = None
    fat_value: Decimal | None = None
    whey_less: Decimal | None = None
    whey_times: Decimal | None = None
    whey_over: Decimal | None = None
    powder_less: Decimal | None = None
    powder_times: Decimal | None = None
    powder_over: Decimal | None = None

    def butterfat(self, butter: Decimal) -> Decimal:
        """Butterfat price, dollars a pound, from the butter price.

        Raises:
            Refused: the set's text does not print this formula. So with the other three.
        """
        return self._simple("butterfat", butter, self.butter_less, self.butterfat_times, self.butterfat_over)

    def other_solids(self, dry_whey: Decimal) -> Decimal:
        """Other solids price, dollars a pound, from the dry whey price."""
        return self._simple("other solids", dry_whey, self.whey_less, self.whey_times, self.whey_over)

    def nonfat_solids(self, nonfat_dry_milk: Decimal) -> Decimal:
        """Nonfat solids price, dollars a pound, from the nonfat dry milk price."""
        return self._simple(
            "nonfat solids", nonfat_dry_milk, self.powder_less, self.powder_times, self.powder_over
        )

    def protein(self, cheese: Decimal, butterfat: Decimal) -> Decimal:
        """Protein price, dollars a pound, from the cheese price and the butterfat price."""
        less, times, fat, kept, value = (
            self.cheese_less, self.protein_times, self.fat_times, self.fat_kept, self.fat_value,
        )  # fmt: skip
        if less is None or times is None or fat is None or kept is None or value is None:
            raise self._not_printed("protein")
        net = cheese - less
        return rounded(net * times + (net * fat - butterfat * kept) * value, PER_LB)

    def _simple(
        self, what: str, product: Decimal, less: Decimal | None, times: Decimal | None, over: Decimal | None
    ) -> Decimal:
        if less is None or (times is None) == (over is None):
            raise self._not_printed(what)
        net = product - less
        return rounded(net * times if times is not None else net / (over or Decimal(1)), PER_LB)

    def _not_printed(self, what: str) -> Refused:
        return Refused(
            f"The {what} formula of the set {self.title} was not found in print.",
            remedy="Type the announced price instead.",
            field="formula_set",
        )


@dataclass(frozen=True, slots=True)
class Composition:
    """Pounds of protein, other solids and nonfat solids in a hundredweight of standard skim milk."""

    key: str
    first_month: str
    last_month: str
    protein: Decimal
    other_solids: Decimal
    nonfat_solids: Decimal


@cache
def price_sets() -> Mapping[str, PriceSet]:
    """Every set of price formulas by key."""
    return MappingProxyType(
        {row["key"]: PriceSet(**_decimals(row)) for row in _table("price_formulas.toml")["set"]}
    )


@cache
def compositions() -> Mapping[str, Composition]:
    """Every standard skim milk by key."""
    rows = _table("price_formulas.toml")["composition"]
    return MappingProxyType({row["key"]: Composition(**_decimals(row)) for row in rows})


def price_set_of(month: date) -> PriceSet:
    """The set in force in a month.

    Args:
        month: any day of it.

    Raises:
        Refused: no set is known for that month; the nearest are never used in its place.
    """
    wanted = f"{month:%Y-%m}"
    for known in price_sets().values():
        if known.first_month <= wanted <= known.last_month:
            return known
    raise _no_set(wanted, list(price_sets().values()))


def composition_of(month: date) -> Composition:
    """The standard skim milk of a month.

    Args:
        month: any day of it.

    Raises:
        Refused: before January 2000.
    """
    wanted = f"{month:%Y-%m}"
    for known in compositions().values():
        if known.first_month <= wanted <= known.last_month:
            return known
    raise _no_set(wanted, [])


@cache
def announced_prices() -> Mapping[str, Mapping[str, Any]]:
    """Prices as announced, by month "YYYY-MM": decimals by name, and their source."""
    rows = _table("announced_prices.toml")["month"]
    return MappingProxyType({row["month"]: MappingProxyType(_decimals(row)) for row in rows})


def _no_set(wanted: str, sets: Sequence[PriceSet]) -> Refused:
    known = "; ".join(item.title for item in sets) or "from January 2000 on"
    return Refused(
        f"No price formulas are known for {wanted}.",
        remedy=f"Known: {known}. Type the announced prices instead.",
        field="month",
    )


@cache
def _table(name: str) -> dict[str, Any]:
    return tomllib.loads((FOLDER / name).read_text(encoding="utf-8"), parse_float=Decimal)


def _decimals(row: dict[str, Any]) -> dict[str, Any]:
    return {name: Decimal(value) if isinstance(value, int) else value for name, value in row.items()}

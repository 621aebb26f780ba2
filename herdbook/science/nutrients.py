"""The list of nutrients: how each is named, in which unit it is kept, and whether water dilutes it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Literal, NamedTuple

from herdbook.errors import Refused
from herdbook.science.tables_as_published import rows

Whole = Literal["dm", "cp", "ndf", "starch", "none"]

# What a kilogram of dry matter carries when the share is 1 in the unit, and what the amount is counted in.
AMOUNT_OF = {
    "%": (0.01, "kg"),
    "g/kg": (1.0, "g"),
    "mg/kg": (1.0, "mg"),
    "ppb": (1.0, "ug"),
    "Mcal/kg": (1.0, "Mcal"),
    "IU/kg": (1.0, "IU"),
}

ADDED = ("npn_cp", "se_added", "monensin")
"""What gets into feed only by being put there: a feed without the figure carries none of it."""


class Nutrient(NamedTuple):
    """One line of the list.

    Attributes:
        key: name in records and exports.
        label: short name for a column.
        name: full name.
        unit: unit of its share on dry matter (or of the whole it is a share of).
        of: the whole it is a share of: dry matter, crude protein, NDF, starch, or "none" (pH).
        scales: True when the figure as received is the dry-matter figure times the dry fraction.
        decimals: decimals worth showing.
        per_kg: amount in a kilogram of the whole when the share is 1.
        amount_unit: unit of that amount; empty where amounts mean nothing.
    """

    key: str
    label: str
    name: str
    unit: str
    of: Whole
    scales: bool
    decimals: int
    per_kg: float
    amount_unit: str

    def to_dry_basis(self, as_received: float, *, dry_fraction: float) -> float:
        """The figure on dry matter from the figure as received; unchanged where water does not dilute it.

        Raises:
            Refused: the dry fraction is not between 0 and 1.
        """
        return as_received / _fraction(dry_fraction) if self.scales else as_received

    def to_as_received(self, dry_basis: float, *, dry_fraction: float) -> float:
        """The figure as received from the figure on dry matter; unchanged where water does not dilute it.

        Raises:
            Refused: the dry fraction is not between 0 and 1.
        """
        return dry_basis * _fraction(dry_fraction) if self.scales else dry_basis


@cache
def nutrients() -> Mapping[str, Nutrient]:
    """Every nutrient by key, in the order of the table."""
    made = {}
    for row in rows("nutrients.csv"):
        per_kg, amount_unit = AMOUNT_OF.get(row["unit"], (0.0, ""))
        whole: Whole = row["of"]  # type: ignore[assignment]  # a test reads the whole column
        made[row["key"]] = Nutrient(
            row["key"], row["label"], row["name"], row["unit"], whole,
            row["scales"] == "yes", int(row["decimals"]), per_kg, amount_unit,
        )  # fmt: skip
    return MappingProxyType(made)


def nutrient(key: str) -> Nutrient:
    """The nutrient of that key.

    Raises:
        Refused: the list has no such nutrient.
    """
    found = nutrients().get(key)
    if found is None:
        raise Refused(
            f"There is no nutrient called {key!r}.", remedy=f"Known: {', '.join(nutrients())}.", field=key
        )
    return found


def _fraction(dry_fraction: float) -> float:
    if not 0 < dry_fraction <= 1:
        raise Refused(
            f"A dry-matter fraction of {dry_fraction:g} cannot be.",
            remedy="It lies above 0 and goes up to 1.",
            field="dry_fraction",
        )
    return dry_fraction

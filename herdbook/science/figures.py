"""The figures of a ration that can be shown and have a target: nutrients' shares, and what is worked out from them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import NamedTuple

from herdbook.science.nutrients import ADDED, nutrients
from herdbook.science.ration import Totals


class RationFigure(NamedTuple):
    """One figure of a ration.

    Attributes:
        key: name in records and exports.
        label: short name for a column.
        unit: unit of the value, its limits and its place in JSON.
        decimals: decimals worth showing.
        rule: what makes it.
    """

    key: str
    label: str
    unit: str
    decimals: int
    rule: str


class FigureValue(NamedTuple):
    """A figure's value over a ration, the share of dry matter (0 to 1) that lacks an analysis for it, and its rule.

    The rule is that of the figure itself unless another one made this value, such as NFC without bound protein.
    """

    value: float | None
    unknown_share: float
    rule: str = ""


_WORKED_OUT = (
    RationFigure("dm_intake", "Dry matter", "kg", 2, "dry matter a head a day"),
    RationFigure("as_fed", "As fed", "kg", 2, "as fed a head a day"),
    RationFigure("dm_share", "DM of mix", "%", 1, "total dry matter over total as fed"),
    RationFigure("forage_share", "Forage", "%", 1, "dry matter from forage over all dry matter"),
    RationFigure("forage_ndf", "fNDF", "%", 1, "forage-ndf"),
    RationFigure("nfc", "NFC", "%", 1, "nfc-ndicp"),
    RationFigure("dcad", "DCAD", "mEq/kg", 0, "dcad-percent"),
    RationFigure("ca_to_p", "Ca:P", "", 2, "ca-to-p"),
)


AMOUNT = "_amount"
AMOUNT_DECIMALS = {"kg": 3, "g": 1, "mg": 1, "ug": 0, "Mcal": 2, "IU": 0}
OVER_DRY_MATTER, ADDED_OVER_ALL = "weighted over dry matter", "what was added over all dry matter"


class RationFigures(Mapping[str, RationFigure]):
    """Every figure by key. Walking through it gives those with a line of their own; amounts are known by key too.

    An amount a head (`cp_amount`) says the same as the share and the intake together, so it is shown only where the
    nutritionist set a target for it.
    """

    def __init__(self, listed: Mapping[str, RationFigure], amounts: Mapping[str, RationFigure]) -> None:
        self._listed, self._all = dict(listed), {**listed, **amounts}

    def __getitem__(self, key: str) -> RationFigure:
        return self._all[key]

    def __contains__(self, key: object) -> bool:
        return key in self._all

    def __iter__(self) -> Iterator[str]:
        return iter(self._listed)

    def __len__(self) -> int:
        return len(self._listed)

    def with_amounts(self) -> Mapping[str, RationFigure]:
        """The same with the amounts, for lists of what a target can be set for."""
        return dict(self._all)


@cache
def ration_figures() -> RationFigures:
    """Every figure by key: intake first, then nutrients in the order of their list; amounts by key alone."""
    listed = {one.key: one for one in _WORKED_OUT}
    amounts = {}
    for key, one in nutrients().items():
        if one.of != "none":
            rule = ADDED_OVER_ALL if key in ADDED else OVER_DRY_MATTER
            listed[key] = RationFigure(key, one.label, one.unit, one.decimals, rule)
        if one.of != "none" and one.amount_unit:
            unit = one.amount_unit
            name = f"{key}{AMOUNT}"
            amounts[name] = RationFigure(
                name, f"{one.label} a head", unit, AMOUNT_DECIMALS[unit], "share times dry matter"
            )
    return RationFigures(listed, amounts)


def amount_of(key: str) -> str:
    """The nutrient that a figure is the amount of; empty for every other figure."""
    nutrient = key.removesuffix(AMOUNT)
    return nutrient if key.endswith(AMOUNT) and nutrient in nutrients() else ""


def figure_value(key: str, of: Totals) -> FigureValue:
    """The value of a figure over a ration's totals (per head and day), in the figure's own unit."""
    dry_share = None if of.dry_share is None else 100 * of.dry_share
    forage_share = None if of.forage_share is None else 100 * of.forage_share
    direct = {
        "dm_intake": of.dry_kg,
        "as_fed": of.as_fed_kg,
        "dm_share": dry_share,
        "forage_share": forage_share,
    }
    if key in direct:
        return FigureValue(direct[key], 0.0)
    derived = {
        "forage_ndf": of.forage_ndf,
        "nfc": of.nfc,
        "dcad": of.dcad_meq_per_kg,
        "ca_to_p": of.ca_to_p,
    }.get(key)
    if derived is not None:
        return FigureValue(derived.value, derived.unknown_share, derived.rule)
    total = of.nutrients.get(amount_of(key) or key)
    if total is None:
        return FigureValue(None, 1.0)
    was_added = total.key in ADDED  # a feed that does not say so has nothing added
    share = total.share_of_all if was_added else total.share
    unknown_share = 0.0 if was_added else total.unknown_share
    return FigureValue(total.amount if amount_of(key) else share, unknown_share)

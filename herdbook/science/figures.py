"""The figures of a ration that can be shown and have a target: nutrients' shares, and what is worked out from them."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import NamedTuple

from herdbook.science.nutrients import nutrients
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


@cache
def ration_figures() -> Mapping[str, RationFigure]:
    """Every figure by key: intake first, then nutrients in the order of their list."""
    listed = {one.key: one for one in _WORKED_OUT}
    for key, one in nutrients().items():
        if one.of != "none":
            listed[key] = RationFigure(key, one.label, one.unit, one.decimals, "weighted over dry matter")
    return MappingProxyType(listed)


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
    total = of.nutrients.get(key)
    return FigureValue(None, 1.0) if total is None else FigureValue(total.share, total.unknown_share)

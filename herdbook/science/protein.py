"""Protein of no edition: what nitrogen stands for, and degraded and undegraded protein together."""

from __future__ import annotations

from herdbook.science.inputs import of_dry_matter
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Protein"


@published(
    "crude-protein",
    title="Crude protein equivalent of nitrogen",
    subject=SUBJECT,
    formula="crude protein = nitrogen * 6.25",
    unit="%",
    source="AGPROUD45564",
    arguments={"nitrogen": Argument("nitrogen, of dry matter", "%", 0.2, 47, floor=0, ceiling=50)},
    check=(
        Check({"nitrogen": 45}, 281.250, 1e-6, "derived: urea of 45 % nitrogen"),
        Check({"nitrogen": 46.6459}, 291.537, 1e-3, "derived: pure urea"),
        Check({"nitrogen": 46.7}, 292, 0.2, "printed for urea of 46.7 % nitrogen"),
    ),
    notes="Protein is taken as 16 % nitrogen. Urea comes to 262, 281 or 292 % (42, 45 or 46.7 % nitrogen): "
    "over 100 is right for non-protein nitrogen.",
)
def crude_protein(*, nitrogen: float) -> float:
    """Protein that the nitrogen of a feed stands for."""
    return nitrogen * 6.25


@published(
    "crude-protein-from-parts",
    title="Crude protein as degraded and undegraded protein together",
    subject=SUBJECT,
    formula="crude protein = rdp + rup",
    unit="%",
    source="HANDOUT680",
    arguments={
        "rdp": of_dry_matter("rumen-degraded protein", 4, 16),
        "rup": of_dry_matter("rumen-undegraded protein", 1, 12),
    },
    check=tuple(
        Check({"rdp": rdp, "rup": rup}, total, 0.05, f"requirement table, {which}")
        for rdp, rup, total, which in (
            (9.7, 5.5, 15.2, "mid lactation"),
            (9.8, 6.9, 16.7, "peak"),
            (9.5, 4.6, 14.1, "late lactation"),
            (10.5, 9.0, 19.5, "fresh"),
            (8.7, 2.1, 10.8, "dry"),
        )
    ),
)
def crude_protein_from_parts(*, rdp: float, rup: float) -> float:
    """The two parts of a diet's protein, added up."""
    return rdp + rup

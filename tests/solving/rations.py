"""Made-up feed problems that have an answer, the same every time for the same seed."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from herdbook.science.figures import figure_value
from herdbook.science.ration import Part, Totals, totals
from herdbook.solving.programme import Feed, Limit, Programme

FIGURES = ("dm_intake", "as_fed", "dm_share", "forage_share", "forage_ndf", "nfc", "dcad", "ca_to_p", "cp", "ndf",
           "starch", "fat", "nel", "ca", "p", "mg", "k", "cu", "vit_a", "rup_cp")  # fmt: skip
SIZES = {
    "cp": 45, "ndf": 60, "starch": 70, "fat": 20, "ash": 12, "ndicp": 3, "nel": 2.2, "ca": 30, "p": 20, "mg": 8, "k": 4,
    "na": 3, "cl": 3, "s": 2, "cu": 200, "vit_a": 300_000, "rup_cp": 100,
}  # fmt: skip
KINDS = ("forage", "forage", "wet by-product", "grain", "protein", "mineral", "premix", "fat")


def made_up(chance: Random, feeds: int) -> tuple[Feed, ...]:
    """Feeds with invented analyses, prices and present amounts."""
    return tuple(
        Feed(
            f"feed {n}", chance.choice(KINDS), chance.uniform(0.25, 0.99),
            {key: chance.uniform(0.02, 1.0) * most for key, most in SIZES.items()},
            chance.uniform(2, 90), present_kg=chance.uniform(0.05, 8),
        )
        for n in range(feeds)
    )  # fmt: skip


def present(feeds: tuple[Feed, ...]) -> Totals:
    return totals_of(feeds, [feed.present_kg for feed in feeds])


def totals_of(feeds: tuple[Feed, ...], as_fed_kg: list[float]) -> Totals:
    """What the science says of amounts; it knows nothing of rows or solvers."""
    return totals(
        Part(feed.name, feed.kind, kg, feed.dry_fraction, feed.nutrients)
        for feed, kg in zip(feeds, as_fed_kg, strict=True)
    )


def can_be_met(seed: int, *, feeds: int = 12, limits: int = 10) -> Programme:
    """Limits around what the present ration has, so that at least that ration keeps to them."""
    chance = Random(seed)
    made = made_up(chance, feeds)
    today = present(made)
    chosen = []
    for figure in ("dm_intake", *chance.sample(FIGURES[1:], limits - 1)):
        value = figure_value(figure, today).value
        assert value is not None
        low, high = (value - chance.uniform(0, 0.1) * abs(value), value + chance.uniform(0, 0.1) * abs(value))
        sides = chance.choice(("low", "high", "both")) if figure != "dm_intake" else "both"
        chosen.append(Limit(figure, low if sides != "high" else None, high if sides != "low" else None))
    stocked = replace(made[0], stock_kg=made[0].present_kg * 90 * 30)
    bounded = replace(made[1], least_kg=made[1].present_kg * made[1].dry_fraction * 0.5,
                      most_kg=made[1].present_kg * made[1].dry_fraction * 1.5, basis="dry matter")  # fmt: skip
    held = made[2].fixed(made[2].present_kg)
    return Programme((stocked, bounded, held, *made[3:]), tuple(chosen), heads=90, days=30)

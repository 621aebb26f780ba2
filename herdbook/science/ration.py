"""Totals of a ration: what its parts carry together, and how much of it has no analysis."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from operator import mul
from typing import Literal, NamedTuple

from herdbook.science.carbohydrate import nfc_by_difference, nfc_ndicp
from herdbook.science.cation_anion import dcad_mEq_per_100g
from herdbook.science.nutrients import Nutrient, nutrients

FORAGE = "forage"
NFC_TERMS = ("ndf", "cp", "fat", "ash")
DCAD_TERMS = ("na", "k", "cl", "s")

Column = list[float | None]


@dataclass(slots=True, frozen=True)
class Part:
    """One feed in a ration, load, drop or pile of leavings.

    Attributes:
        feed: its name.
        kind: what sort of feed it is; "forage" counts as forage.
        as_fed_kg: weight as fed.
        dry_fraction: dry matter as a fraction of as fed.
        nutrients: figures on dry matter by nutrient key; an absent key was not determined, which is not zero.
    """

    feed: str
    kind: str
    as_fed_kg: float
    dry_fraction: float
    nutrients: Mapping[str, float]


class NutrientTotal(NamedTuple):
    """One nutrient over a whole ration.

    Attributes:
        key: the nutrient.
        amount: how much of it the analysed parts carry, in the nutrient's amount unit (kg, g, mg, Mcal, IU).
        share: its share in the nutrient's own unit, over the matter that has the analysis; None if none has.
        share_of_all: the same amount over all of the matter, as if the rest carried none: at least this.
        unknown_dry_kg: dry matter without the analysis.
        unknown_share: that dry matter as a fraction of all dry matter.
    """

    key: str
    amount: float
    share: float | None
    share_of_all: float | None
    unknown_dry_kg: float
    unknown_share: float


class Derived(NamedTuple):
    """A figure worked out from several analyses of the same matter.

    Attributes:
        value: the figure over the dry matter that has all of them; None when none has.
        unknown_dry_kg: dry matter that lacks one or more.
        unknown_share: that dry matter as a fraction of all dry matter.
        rule: key of the rule that made it.
    """

    value: float | None
    unknown_dry_kg: float
    unknown_share: float
    rule: str


@dataclass(slots=True, frozen=True)
class Totals:
    """What a ration carries.

    Attributes:
        as_fed_kg, dry_kg: total weights.
        dry_share: total dry matter over total as fed; None when nothing was fed. Never a mean of percentages.
        nutrients: every nutrient that at least one part has, by key.
        forage_dry_kg, forage_share: dry matter from forage, and as a fraction of all dry matter.
        forage_ndf: NDF from forage, % of all dry matter; unknown is forage dry matter without an NDF.
        forage_ndf_kg: its weight.
        nfc: non-fibre carbohydrate, % of dry matter; corrected for bound protein when every part has NDICP.
        dcad_meq_per_kg: cation-anion difference; `dcad_meq_per_100g` is the same in the smaller unit.
        ca_to_p: calcium over phosphorus, over the dry matter that has both.
    """

    as_fed_kg: float
    dry_kg: float
    dry_share: float | None
    nutrients: Mapping[str, NutrientTotal]
    forage_dry_kg: float
    forage_share: float | None
    forage_ndf_kg: float
    forage_ndf: Derived
    nfc: Derived
    dcad_meq_per_kg: Derived
    ca_to_p: Derived

    @property
    def dcad_meq_per_100g(self) -> Derived:
        """The cation-anion difference per 100 g, a tenth of the figure per kilogram."""
        per_kg = self.dcad_meq_per_kg
        return per_kg._replace(value=None if per_kg.value is None else per_kg.value / 10)


def totals(parts: Iterable[Part]) -> Totals:
    """Add up parts into one ration.

    Args:
        parts: the feeds with their weights in kg as fed, dry fractions and figures on dry matter.

    Returns:
        The totals; figures that not all matter has an analysis for say how much has none.
    """
    parts = list(parts)
    dry = [part.as_fed_kg * part.dry_fraction for part in parts]
    as_fed_kg = sum([part.as_fed_kg for part in parts])
    dry_kg = sum(dry)
    columns = _columns(parts)
    forage = [kg if part.kind == FORAGE else 0.0 for part, kg in zip(parts, dry, strict=True)]
    forage_kg = sum(forage)
    forage_ndf_kg, unknown_kg = _forage_ndf(columns.get("ndf"), forage, forage_kg)
    return Totals(
        as_fed_kg=as_fed_kg,
        dry_kg=dry_kg,
        dry_share=dry_kg / as_fed_kg if as_fed_kg else None,
        nutrients=_nutrient_totals(columns, dry, dry_kg),
        forage_dry_kg=forage_kg,
        forage_share=forage_kg / dry_kg if dry_kg else None,
        forage_ndf_kg=forage_ndf_kg,
        forage_ndf=Derived(
            100 * forage_ndf_kg / dry_kg if dry_kg and (unknown_kg < forage_kg or not forage_kg) else None,
            unknown_kg,
            unknown_kg / dry_kg if dry_kg else 0.0,
            "forage-ndf",
        ),
        nfc=_nfc(columns, dry, dry_kg),
        dcad_meq_per_kg=_dcad(columns, dry, dry_kg),
        ca_to_p=_ca_to_p(columns, dry, dry_kg),
    )


def _columns(parts: Sequence[Part]) -> dict[str, Column]:
    """Figures by nutrient, one for each part, None where not determined; in the order of the list."""
    seen: set[str] = set()
    for part in parts:
        seen.update(part.nutrients)
    getters = [part.nutrients.get for part in parts]
    return {key: [get(key) for get in getters] for key in nutrients() if key in seen}


def _nutrient_totals(
    columns: Mapping[str, Column], dry: Sequence[float], dry_kg: float
) -> dict[str, NutrientTotal]:
    listed = nutrients()
    made = {}
    for key, column in columns.items():
        one = listed[key]
        if one.of == "none":
            continue
        if one.of != "dm":
            made[key] = _share_of_a_part(one, column, columns.get(one.of, [None] * len(dry)), dry, dry_kg)
        elif None in column:
            made[key] = _with_gaps(one, column, dry, dry_kg)
        else:
            carried = sum(map(mul, dry, column))
            share = carried / dry_kg if dry_kg else None
            made[key] = NutrientTotal(key, carried * one.per_kg, share, share, 0.0, 0.0)
    return made


def _with_gaps(one: Nutrient, column: Column, dry: Sequence[float], dry_kg: float) -> NutrientTotal:
    carried = known_kg = 0.0
    for kg, figure in zip(dry, column, strict=True):
        if figure is not None:
            carried += kg * figure
            known_kg += kg
    return _total(one, carried, known_kg, dry_kg, dry_kg - known_kg, dry_kg)


def _share_of_a_part(
    one: Nutrient, column: Column, whole: Column, dry: Sequence[float], dry_kg: float
) -> NutrientTotal:
    """A nutrient given as a share of protein, NDF or starch is weighted by that, not by dry matter."""
    carried = known_kg = whole_kg = unknown_dry_kg = 0.0
    for kg, figure, percent in zip(dry, column, whole, strict=True):
        part_kg = kg * percent / 100 if percent is not None else 0.0
        whole_kg += part_kg
        if figure is not None and percent is not None:
            carried += part_kg * figure
            known_kg += part_kg
        elif percent != 0:  # a feed without any of the whole has nothing left to determine
            unknown_dry_kg += kg
    return _total(one, carried, known_kg, whole_kg, unknown_dry_kg, dry_kg)


def _total(
    one: Nutrient, carried: float, known_kg: float, whole_kg: float, unknown_dry_kg: float, dry_kg: float
) -> NutrientTotal:
    return NutrientTotal(
        one.key,
        carried * one.per_kg,
        carried / known_kg if known_kg else None,
        carried / whole_kg if whole_kg and known_kg else None,
        unknown_dry_kg,
        unknown_dry_kg / dry_kg if dry_kg else 0.0,
    )


def _forage_ndf(ndf: Column | None, forage: Sequence[float], forage_kg: float) -> tuple[float, float]:
    """Weight of NDF from forage, and forage dry matter without an NDF."""
    if ndf is None:
        return 0.0, forage_kg
    carried = unknown_kg = 0.0
    for kg, figure in zip(forage, ndf, strict=True):
        if figure is None:
            unknown_kg += kg
        else:
            carried += kg * figure / 100
    return carried, unknown_kg


def _means_of_complete_parts(
    columns: Mapping[str, Column], keys: Sequence[str], dry: Sequence[float]
) -> tuple[float, list[float]]:
    """Dry matter of the parts that have all the keys, and their mean figures; nothing when there is none."""
    wanted = [columns[key] for key in keys if key in columns]
    if len(wanted) < len(keys):
        return 0.0, []
    if any(None in column for column in wanted):
        complete = [None not in figures for figures in zip(*wanted, strict=True)]
        dry = [kg if has_all else 0.0 for kg, has_all in zip(dry, complete, strict=True)]
        wanted = [[figure or 0.0 for figure in column] for column in wanted]
    known_kg = sum(dry)
    if not known_kg:
        return 0.0, []
    return known_kg, [sum(map(mul, dry, column)) / known_kg for column in wanted]


def _derived(value: float | None, known_kg: float, dry_kg: float, rule: str) -> Derived:
    unknown_kg = max(dry_kg - known_kg, 0.0)
    return Derived(value, unknown_kg, unknown_kg / dry_kg if dry_kg else 0.0, rule)


def _nfc(columns: Mapping[str, Column], dry: Sequence[float], dry_kg: float) -> Derived:
    """By difference; protein bound to fibre is counted once when every part that counts has it."""
    known_kg, means = _means_of_complete_parts(columns, NFC_TERMS, dry)
    if not means:
        return _derived(None, 0.0, dry_kg, "nfc-by-difference")
    ndf, crude_protein, fat, ash = means
    corrected_kg, with_bound = _means_of_complete_parts(columns, (*NFC_TERMS, "ndicp"), dry)
    if corrected_kg == known_kg:
        value = nfc_ndicp(ndf=ndf, ndicp=with_bound[-1], crude_protein=crude_protein, fat=fat, ash=ash)
        return _derived(value, known_kg, dry_kg, "nfc-ndicp")
    value = nfc_by_difference(ndf=ndf, crude_protein=crude_protein, fat=fat, ash=ash)
    return _derived(value, known_kg, dry_kg, "nfc-by-difference")


def _dcad(columns: Mapping[str, Column], dry: Sequence[float], dry_kg: float) -> Derived:
    known_kg, means = _means_of_complete_parts(columns, DCAD_TERMS, dry)
    if not means:
        return _derived(None, 0.0, dry_kg, "dcad-percent")
    na, k, cl, s = means
    return _derived(10 * dcad_mEq_per_100g(na=na, k=k, cl=cl, s=s), known_kg, dry_kg, "dcad-percent")


def _ca_to_p(columns: Mapping[str, Column], dry: Sequence[float], dry_kg: float) -> Derived:
    known_kg, means = _means_of_complete_parts(columns, ("ca", "p"), dry)
    return _derived(means[0] / means[1] if means and means[1] else None, known_kg, dry_kg, "ca-to-p")


class Verdict(NamedTuple):
    """How a figure stands against its target.

    Attributes:
        word: "low", "ok", "high", "no value" or "no target".
        distance: how far beyond the limit it passed, below zero when under; 0 inside the limits.
        from_aim: how far from the aim, below zero when under; None without an aim or a value.
    """

    word: Literal["low", "ok", "high", "no value", "no target"]
    distance: float
    from_aim: float | None


def verdict(value: float | None, low: float | None, aim: float | None, high: float | None) -> Verdict:
    """Judge a figure against the nutritionist's low, aim and high; a figure right at a limit is ok.

    Args:
        value: the figure, None when there is none.
        low, aim, high: the target in the same unit; each may be absent.
    """
    if value is None:
        return Verdict("no value", 0.0, None)
    from_aim = None if aim is None else value - aim
    dust = 1e-9 * max(abs(value), 1.0)  # binary fractions: 16.8 added up from parts is not quite 16.8
    if low is not None and value < low - dust:
        return Verdict("low", value - low, from_aim)
    if high is not None and value > high + dust:
        return Verdict("high", value - high, from_aim)
    if low is None and aim is None and high is None:
        return Verdict("no target", 0.0, None)
    return Verdict("ok", 0.0, from_aim)

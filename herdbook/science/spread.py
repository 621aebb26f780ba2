"""How sure a ration's figures are: first-order variance from the spread of analyses, dry matter and loading.

Every figure of a ration is a sum over its feeds or a ratio of two sums. Its variance is taken as the sum over all
inputs of (slope times standard deviation) squared: errors are small, independent between feeds and between the
analyses of one feed. Two analyses of one feed do hang together (more NDF, less starch), which this leaves out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import NamedTuple

from herdbook.science.cation_anion import dcad_mEq_per_100g
from herdbook.science.figures import amount_of
from herdbook.science.nutrients import ADDED, nutrients
from herdbook.science.ration import DCAD_TERMS, FORAGE, NFC_TERMS, Part
from herdbook.science.registry import Argument, Check, published
from herdbook.science.tables_as_published import rows

SUBJECT = "How sure a figure is"
MINERALS = frozenset(
    ["ash", "ca", "p", "mg", "k", "na", "cl", "s", "fe", "cu", "zn", "mn", "se", "se_added", "co", "i", "mo"]
)
ENERGIES = frozenset(["nel", "nem", "neg", "me", "de", "gross_energy", "tdn"])
NOT_COVERED = frozenset(
    ["ph", "vit_a", "vit_d", "vit_e", "monensin", "nitrate_n", "aflatoxin", "don", "zearalenone", "fumonisin"]
)
"""Figures of which the published variation says nothing."""


class Expected(NamedTuple):
    """A published variation.

    Attributes:
        relative_sd: one standard deviation as a fraction of the value.
        percent, printed, source: what the source prints, and its key.
    """

    relative_sd: float
    percent: float
    printed: str
    source: str


@cache
def expected_variation() -> Mapping[str, Expected]:
    """The published variation of "organic", "mineral" and "energy" figures and of a "loading".

    "As much as 15 %" is read as two standard deviations. Of loadings, 46.7 % lay within 2 %: were they spread as
    the normal curve, 2 % would be 0.6234 standard deviations.
    """
    return {
        row["what"]: Expected(
            float(row["percent"]) / float(row["deviations"]) / 100,
            float(row["percent"]),
            row["printed"],
            row["source"],
        )
        for row in rows("variation_to_expect.csv")
    }


def expected_of(nutrient: str) -> Expected | None:
    """The published variation of a nutrient; none where the source says nothing of it."""
    if nutrient in NOT_COVERED:
        return None
    kind = "mineral" if nutrient in MINERALS else "energy" if nutrient in ENERGIES else "organic"
    return expected_variation()[kind]


@dataclass(slots=True, frozen=True)
class PartSpread:
    """Standard deviations of what is known of one part.

    Attributes:
        nutrients: by key, in the nutrient's own unit on dry matter; an absent key is of unknown spread.
        dry_fraction: of the dry matter, as a fraction of as fed; none where it is not known.
        loading: of the weight as fed, as a fraction of it; 0 for a weight that was read on the scale.
    """

    nutrients: Mapping[str, float] = field(default_factory=dict)
    dry_fraction: float | None = None
    loading: float | None = 0.0


class Share(NamedTuple):
    """What one part adds to a variance, in the squared unit of the figure."""

    feed: str
    analysis: float
    dry_matter: float
    loading: float

    @property
    def variance(self) -> float:
        """All three together."""
        return self.analysis + self.dry_matter + self.loading


class Spread(NamedTuple):
    """How far a figure may lie off.

    Attributes:
        value: the figure, as the ration's totals give it; None where it has none.
        sd: its standard deviation, in its own unit; None without a value, or when no analysis of it has a known spread.
        shares: what each part adds to the variance.
        not_counted: inputs that matter and whose spread is not known, in words.
    """

    value: float | None
    sd: float | None
    shares: tuple[Share, ...]
    not_counted: tuple[str, ...]


class _Term(NamedTuple):
    """What a kilogram of one part's dry matter adds above and below the line, and the slopes by nutrient."""

    top: float
    bottom: float
    top_slopes: Mapping[str, float]
    bottom_slopes: Mapping[str, float]


_NONE = _Term(0.0, 0.0, {}, {})


def figure_spread(key: str, parts: Sequence[Part], spreads: Sequence[PartSpread]) -> Spread:
    """How sure a figure of a ration is.

    Args:
        key: the figure, as in `figures.ration_figures`.
        parts: the ration's parts.
        spreads: what is known of each part's spread, in the same order.
    """
    if key in _OF_WEIGHTS:
        return _of_weights(_OF_WEIGHTS[key](parts), parts, spreads)
    if nutrient := amount_of(key):
        terms = _amount_terms(nutrient, parts)
        carried = [
            part.as_fed_kg * part.dry_fraction * term.top for part, term in zip(parts, terms, strict=True)
        ]
        if all(term is _NONE for term in terms):
            return Spread(None, None, (), ())
        return _summed(terms, 1.0, 0.0, parts, spreads, value=sum(carried))
    return _ratio(_terms(key, parts), parts, spreads)


def _ratio(terms: Sequence[_Term], parts: Sequence[Part], spreads: Sequence[PartSpread]) -> Spread:
    dry = [part.as_fed_kg * part.dry_fraction for part in parts]
    bottom = sum(kg * term.bottom for kg, term in zip(dry, terms, strict=True))
    if not bottom:
        return Spread(None, None, (), ())
    value = sum(kg * term.top for kg, term in zip(dry, terms, strict=True)) / bottom
    return _summed(terms, bottom, value, parts, spreads, value=value)


def _summed(
    terms: Sequence[_Term],
    bottom: float,
    ratio: float,
    parts: Sequence[Part],
    spreads: Sequence[PartSpread],
    *,
    value: float,
) -> Spread:
    """The variance of (sum of tops) / bottom, where the bottom moves with the parts as far as `ratio` says."""
    shares, missing = [], []
    asked = told = 0
    for part, spread, term in zip(parts, spreads, terms, strict=True):
        if term is _NONE:
            continue
        dry_kg = part.as_fed_kg * part.dry_fraction
        analysis = 0.0
        for key in {**term.top_slopes, **term.bottom_slopes}:
            slope = term.top_slopes.get(key, 0.0) - ratio * term.bottom_slopes.get(key, 0.0)
            sd = spread.nutrients.get(key)
            matters = bool(slope and part.nutrients.get(key))
            asked, told = asked + matters, told + (matters and sd is not None)
            if matters and sd is None:
                missing.append(f"{part.feed}: spread of {nutrients()[key].label}")
            analysis += (dry_kg * slope / bottom * (sd or 0.0)) ** 2
        of_kg = (term.top - ratio * term.bottom) / bottom
        moved = of_kg * part.as_fed_kg * (spread.dry_fraction or 0.0)
        loaded = of_kg * dry_kg * (spread.loading or 0.0)
        missing += _unknown(part, spread) if of_kg else []
        shares.append(Share(part.feed, analysis, moved**2, loaded**2))
    words = tuple(dict.fromkeys(missing))
    if asked and not told:  # weights alone would make it look far surer than it is
        return Spread(value, None, (), words)
    return Spread(value, math.sqrt(sum(share.variance for share in shares)), tuple(shares), words)


def _unknown(part: Part, spread: PartSpread) -> list[str]:
    found = [f"{part.feed}: spread of its dry matter"] if spread.dry_fraction is None else []
    return found + ([f"{part.feed}: spread of its loading"] if spread.loading is None else [])


class _WeightSlopes(NamedTuple):
    """A figure of weights alone: its value, and each part's slope by kg as fed and by dry fraction."""

    value: float | None
    as_fed: Sequence[float]
    dry: Sequence[float]


def _of_weights(slopes: _WeightSlopes, parts: Sequence[Part], spreads: Sequence[PartSpread]) -> Spread:
    if slopes.value is None:
        return Spread(None, None, (), ())
    shares, missing = [], []
    for part, spread, by_kg, by_dry in zip(parts, spreads, slopes.as_fed, slopes.dry, strict=True):
        loaded = by_kg * part.as_fed_kg * (spread.loading or 0.0)
        shares.append(Share(part.feed, 0.0, (by_dry * (spread.dry_fraction or 0.0)) ** 2, loaded**2))
        missing += [word for word in _unknown(part, spread) if by_dry or "loading" in word]
    sd = math.sqrt(sum(share.variance for share in shares))
    return Spread(slopes.value, sd, tuple(shares), tuple(missing))


def _dm_intake(parts: Sequence[Part]) -> _WeightSlopes:
    return _WeightSlopes(
        sum(part.as_fed_kg * part.dry_fraction for part in parts),
        [part.dry_fraction for part in parts],
        [part.as_fed_kg for part in parts],
    )


def _as_fed(parts: Sequence[Part]) -> _WeightSlopes:
    return _WeightSlopes(sum(part.as_fed_kg for part in parts), [1.0] * len(parts), [0.0] * len(parts))


def _dm_share(parts: Sequence[Part]) -> _WeightSlopes:
    whole = sum(part.as_fed_kg for part in parts)
    if not whole:
        return _WeightSlopes(None, (), ())
    share = sum(part.as_fed_kg * part.dry_fraction for part in parts) / whole
    return _WeightSlopes(
        100 * share,
        [100 * (part.dry_fraction - share) / whole for part in parts],
        [100 * part.as_fed_kg / whole for part in parts],
    )


_OF_WEIGHTS: Mapping[str, Callable[[Sequence[Part]], _WeightSlopes]] = {
    "dm_intake": _dm_intake,
    "as_fed": _as_fed,
    "dm_share": _dm_share,
}


def _terms(key: str, parts: Sequence[Part]) -> list[_Term]:
    """The terms of a figure that is a ratio of two sums over dry matter."""
    if key == "forage_share":
        return [_Term(100.0 if part.kind == FORAGE else 0.0, 1.0, {}, {}) for part in parts]
    if key == "forage_ndf":
        return [_forage_ndf(part) for part in parts]
    if key == "nfc":
        return _linear(parts, _nfc_slopes(parts), start=100.0)
    if key == "dcad":
        return _linear(parts, _dcad_slopes())
    if key == "ca_to_p":
        return [_pair(part, "ca", "p") for part in parts]
    one = nutrients()[key]
    if one.of != "dm":
        return [_product(part, key, one.of) for part in parts]
    terms = _linear(parts, {key: 1.0})
    if key in ADDED and any(
        term is not _NONE for term in terms
    ):  # a feed that does not say so has nothing added
        return [_Term(0.0, 1.0, {}, {}) if term is _NONE else term for term in terms]
    return terms


def _amount_terms(key: str, parts: Sequence[Part]) -> list[_Term]:
    """What a kilogram of each part's dry matter carries of a nutrient, in the nutrient's amount unit."""
    one = nutrients()[key]
    if one.of == "dm":
        terms, size = _linear(parts, {key: 1.0}), one.per_kg
    else:
        terms, size = [_product(part, key, one.of) for part in parts], one.per_kg / 100
    return [
        term
        if term is _NONE
        else _Term(term.top * size, 0.0, {name: slope * size for name, slope in term.top_slopes.items()}, {})
        for term in terms
    ]


def _forage_ndf(part: Part) -> _Term:
    ndf = part.nutrients.get("ndf")
    if part.kind != FORAGE or ndf is None:
        return _Term(0.0, 1.0, {}, {})
    return _Term(ndf, 1.0, {"ndf": 1.0}, {})


def _linear(parts: Sequence[Part], slopes: Mapping[str, float], *, start: float = 0.0) -> list[_Term]:
    """A sum of nutrients over the parts that have all of them."""
    made = []
    for part in parts:
        figures = [part.nutrients.get(key) for key in slopes]
        if None in figures:
            made.append(_NONE)
            continue
        top = start + sum(
            slope * (figure or 0.0) for slope, figure in zip(slopes.values(), figures, strict=True)
        )
        made.append(_Term(top, 1.0, slopes, {}))
    return made


def _nfc_slopes(parts: Sequence[Part]) -> Mapping[str, float]:
    slopes = dict.fromkeys(NFC_TERMS, -1.0)
    counted = [part for part in parts if all(key in part.nutrients for key in NFC_TERMS)]
    weighing = [part for part in counted if part.as_fed_kg * part.dry_fraction]
    return slopes | ({"ndicp": 1.0} if weighing and all("ndicp" in p.nutrients for p in weighing) else {})


@cache
def _dcad_slopes() -> Mapping[str, float]:
    nothing = dict.fromkeys(DCAD_TERMS, 0.0)
    return {key: 10 * dcad_mEq_per_100g(**nothing | {key: 1.0}) for key in DCAD_TERMS}


def _pair(part: Part, top: str, bottom: str) -> _Term:
    above, below = part.nutrients.get(top), part.nutrients.get(bottom)
    if above is None or below is None:
        return _NONE
    return _Term(above, below, {top: 1.0}, {bottom: 1.0})


def _product(part: Part, key: str, whole: str) -> _Term:
    """A nutrient given as a share of protein, NDF or starch."""
    figure, of = part.nutrients.get(key), part.nutrients.get(whole)
    if figure is None or of is None:
        return _NONE
    return _Term(figure * of, of, {key: of, whole: figure}, {whole: 1.0})


@published(
    "chance-above",
    title="How sure a figure is to lie above a limit",
    subject=SUBJECT,
    formula="chance = 100 * Phi((value - limit) / deviation), Phi the normal curve's area up to a point",
    unit="%",
    source="ARITHMETIC",
    arguments={
        "value": Argument("the figure", "", -1_000, 1_000_000),
        "limit": Argument("the limit, in the same unit", "", -1_000, 1_000_000),
        "deviation": Argument(
            "standard deviation of the figure, in the same unit", "", 0, 1_000_000, floor=0
        ),
    },
    check=(
        Check({"value": 16.8, "limit": 16.4, "deviation": 0.4}, 84.1345, 1e-3, "one deviation: 84.13 %"),
        Check({"value": 16.8, "limit": 17.584, "deviation": 0.4}, 2.5, 1e-3, "1.96 deviations: 2.5 %"),
    ),
    notes="Errors are taken as spread by the normal curve. Without any spread it is 0 or 100, and 50 at the limit.",
)
def chance_above(*, value: float, limit: float, deviation: float) -> float:
    """How often, in a hundred, the true figure would lie above the limit."""
    if not deviation:
        return 100.0 if value > limit else 0.0 if value < limit else 50.0
    return 50 * (1 + math.erf((value - limit) / deviation / math.sqrt(2)))

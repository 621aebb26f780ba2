"""Each figure of a ration as a quotient of two sums over the feeds, which is what a linear programme can hold."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from herdbook.science.cation_anion import dcad_mEq_per_100g
from herdbook.science.nutrients import nutrients
from herdbook.science.ration import DCAD_TERMS, FORAGE, NFC_TERMS
from herdbook.solving.programme import Feed, Limit

if TYPE_CHECKING:
    from herdbook.solving.highs import Floats, Truths

BOUND_PROTEIN = "ndicp"


class Need(NamedTuple):
    """An analysis that a figure counts with; `of` names the feeds it is needed of, None for all."""

    key: str
    of: Truths | None = None


class Form(NamedTuple):
    """A figure as ``sum(top_i * x_i) / sum(bottom_i * x_i)``, x in kg as fed; no bottom for an amount.

    Attributes:
        top, bottom: one number for each feed.
        needs: the analyses it rests on.
        rule: key of the published rule that made it; empty for a plain sum.
    """

    top: Floats
    bottom: Floats | None
    needs: tuple[Need, ...] = ()
    rule: str = ""


class FeedTable:
    """What the limits ask of the feeds, a row for each nutrient.

    Attributes:
        dry: dry fractions.
        forage: which are forage.
        matters: which could be fed and have dry matter.
        unknown: feeds without the analysis, by nutrient; a nutrient that all have is not listed.
    """

    def __init__(self, feeds: Sequence[Feed], limits: Sequence[Limit]) -> None:
        import numpy as np

        self.dry = np.array([feed.dry_fraction for feed in feeds])
        self.forage = np.array([feed.kind == FORAGE for feed in feeds])
        self.matters: Truths = self.dry > 0
        self.unknown: dict[str, Truths] = {}
        keys = list(dict.fromkeys(key for limit in limits for key in _asked(limit)))
        known = [
            {**feed.counted_as, **feed.nutrients} if feed.counted_as else feed.nutrients for feed in feeds
        ]
        getters = [figures.get for figures in known]
        cells = np.array([[get(key) for get in getters] for key in keys], dtype=float)
        gaps = np.isnan(cells)
        if gaps.any():
            self.unknown = {key: gap for key, gap in zip(keys, gaps, strict=True) if gap.any()}
            cells = np.where(gaps, 0.0, cells)
        self._cells: dict[str, Floats] = dict(zip(keys, cells, strict=True))

    def of(self, key: str) -> Floats:
        """A nutrient's figures, 0 where unknown: only for feeds whose gap has been seen to."""
        return self._cells[key]


def form_of(limit: Limit, table: FeedTable) -> Form:
    """The figure that a limit bounds, as sums over the feeds."""
    if limit.counted == "ratio":
        top, bottom = _amount(limit.figure, table), _amount(limit.to, table)
        return Form(top.top, bottom.top, top.needs + bottom.needs)
    if limit.counted == "amount":
        return _amount(limit.figure, table)
    return _figure(limit.figure, table)


def lacking(form: Form, table: FeedTable) -> Iterator[tuple[int, str]]:
    """Feeds that could be fed and lack an analysis the form rests on: place and nutrient."""
    for key, of in form.needs:
        gaps = table.unknown.get(key)
        if gaps is None:
            continue
        gaps = gaps & table.matters
        for at in (gaps if of is None else gaps & of).nonzero()[0]:
            yield int(at), key


def _asked(limit: Limit) -> Iterator[str]:
    """Every nutrient a limit may count with."""
    listed = nutrients()
    for key in filter(None, (limit.figure, limit.to)):
        if key in listed:
            yield key
            if listed[key].of != "dm":
                yield listed[key].of
    yield from {
        "forage_ndf": ("ndf",),
        "nfc": (*NFC_TERMS, BOUND_PROTEIN),
        "dcad": DCAD_TERMS,
        "ca_to_p": ("ca", "p"),
    }.get(limit.figure, ())


def _figure(key: str, table: FeedTable) -> Form:
    dry = table.dry
    if key == "dm_intake":
        return Form(dry, None)
    if key == "as_fed":
        return Form(dry * 0.0 + 1.0, None)
    if key == "dm_share":
        return Form(100 * dry, dry * 0.0 + 1.0)
    if key == "forage_share":
        return Form(100 * dry * table.forage, dry)
    if key == "forage_ndf":
        return Form(table.of("ndf") * dry * table.forage, dry, (Need("ndf", table.forage),), "forage-ndf")
    if key == "nfc":
        return _nfc(table)
    if key == "dcad":
        top = sum(per * table.of(term) for term, per in _dcad_per_percent().items())
        return Form(top * dry, dry, tuple(map(Need, DCAD_TERMS)), "dcad-percent")
    if key == "ca_to_p":
        return Form(table.of("ca") * dry, table.of("p") * dry, (Need("ca"), Need("p")), "ca-to-p")
    return _nutrient(key, table)


def _nutrient(key: str, table: FeedTable) -> Form:
    one = nutrients()[key]
    if one.of == "dm":
        return Form(table.of(key) * table.dry, table.dry, (Need(key),))
    whole = table.of(one.of)
    # a feed without any of the whole has nothing left to determine
    needs = (Need(one.of), Need(key, whole != 0))
    return Form(table.of(key) * whole * table.dry, whole * table.dry, needs)


def _amount(key: str, table: FeedTable) -> Form:
    """What a head gets of it a day: kg of anything in per cent, else in the nutrient's amount unit."""
    form = _figure(key, table)
    if form.bottom is None:
        return form
    listed = nutrients()
    if key not in listed:
        return form._replace(top=form.top * (1.0 if key == "dcad" else 0.01), bottom=None)
    per_kg = listed[key].per_kg * (1.0 if listed[key].of == "dm" else 0.01)
    return form._replace(top=form.top * per_kg, bottom=None)


def _nfc(table: FeedTable) -> Form:
    """By difference; protein bound to fibre is counted once when every feed that could be fed has it.

    The rules are linear in their terms (`nfc-ndicp` and `nfc-by-difference`), so the mix's figure is the
    dry-matter mean of its feeds' figures.
    """
    gaps = table.unknown.get(BOUND_PROTEIN)
    bound = gaps is None or not (gaps & table.matters).any()
    each = 100.0 - sum(table.of(term) for term in NFC_TERMS)
    if bound:
        each = each + table.of(BOUND_PROTEIN)
    rule = "nfc-ndicp" if bound else "nfc-by-difference"
    return Form(each * table.dry, table.dry, tuple(map(Need, NFC_TERMS)), rule)


@cache
def _dcad_per_percent() -> dict[str, float]:
    """What one per cent of each mineral adds to the difference in mEq/kg; the published rule is linear."""
    nothing = dict.fromkeys(DCAD_TERMS, 0.0)
    return {term: 10 * dcad_mEq_per_100g(**(nothing | {term: 1.0})) for term in DCAD_TERMS}

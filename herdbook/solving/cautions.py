"""What to read beside a ration that a solver made: minerals without a ceiling, and figures counted on say-so."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from herdbook.solving.answers import LimitAnswer
from herdbook.solving.matrix import Matrix
from herdbook.solving.programme import Feed, Programme
from herdbook.solving.reading_off import DUST
from herdbook.solving.words import figure_name, figure_within, limit_words, list_of, number

MINERALS = ("ca", "p", "mg", "k", "na", "cl", "s", "fe", "cu", "zn", "mn", "se", "se_added", "co", "i", "mo")
CARRIERS = ("mineral", "premix")
MAIN_SOURCE = 0.5  # a feed that brings more than half of a mineral is where it comes from


def cautions(
    programme: Programme, matrix: Matrix, amounts: Sequence[float], limits: Sequence[LimitAnswer]
) -> tuple[str, ...]:
    """Sentences for the nutritionist, in the order of their weight.

    A cheap mineral is the cheapest filler, so a solver feeds it up to whatever stops it: every mineral that a
    mineral feed brings needs a high limit.
    """
    return (
        *_without_ceiling(programme, amounts, limits),
        *_at_ceiling(programme, amounts, limits),
        *_counted_as(programme, matrix, amounts),
        *_by_difference(programme, matrix),
    )


def _without_ceiling(
    programme: Programme, amounts: Sequence[float], limits: Sequence[LimitAnswer]
) -> Iterator[str]:
    capped = {
        one.limit.figure for one in limits if one.limit.high is not None and one.limit.counted != "ratio"
    }
    told = set()
    for one in limits:
        key = one.limit.figure
        open_above = key in MINERALS and key not in capped and one.limit.counted != "ratio"
        if open_above and not one.side and one.value is not None and key not in told:
            told.add(key)
            yield (
                f"{figure_name(key)} has no high limit and nothing holds it: it ends at "
                f"{number(one.value)} {one.unit}. Give it a ceiling."
            )
    brought: dict[str, list[str]] = {}
    for key in MINERALS:
        if key not in capped and key not in told:
            source = _main_source(key, programme.feeds, amounts)
            if source is not None:
                brought.setdefault(source.name, []).append(figure_within(key))
    for name, minerals in brought.items():
        has, each = ("has", "it") if len(minerals) == 1 else ("have", "each")
        yield f"{name} brings most of the {list_of(minerals)}, which {has} no high limit: give {each} one."


def _at_ceiling(
    programme: Programme, amounts: Sequence[float], limits: Sequence[LimitAnswer]
) -> Iterator[str]:
    for one in limits:
        if one.side != "high" or one.limit.figure not in MINERALS or one.limit.counted == "ratio":
            continue
        source = _main_source(one.limit.figure, programme.feeds, amounts)
        if source is not None and one.worth > 0:
            yield f"{source.name} runs up to a ceiling: {limit_words(one.limit, 'high')}."


def _main_source(key: str, feeds: Sequence[Feed], amounts: Sequence[float]) -> Feed | None:
    """The mineral feed or premix that brings more than half of a mineral, if one does."""
    used = [(kg * feed.dry_fraction, feed) for feed, kg in zip(feeds, amounts, strict=True) if kg > DUST]
    for dry_kg, feed in used:
        if feed.kind in CARRIERS and known(feed).get(key):
            whole = sum(kg * (known(other).get(key) or 0.0) for kg, other in used)
            if dry_kg * known(feed)[key] > MAIN_SOURCE * whole:
                return feed
    return None


def known(feed: Feed) -> Mapping[str, float]:
    """A feed's figures, with those counted on say-so where none was determined."""
    return {**feed.counted_as, **feed.nutrients} if feed.counted_as else feed.nutrients


def _counted_as(programme: Programme, matrix: Matrix, amounts: Sequence[float]) -> Iterator[str]:
    asked = {need.key for form in matrix.forms for need in form.needs}
    for feed, kg in zip(programme.feeds, amounts, strict=True):
        said = [key for key in feed.counted_as if key not in feed.nutrients and key in asked]
        if said and kg > DUST:
            figures = [f"{figure_within(key)} {number(feed.counted_as[key])}" for key in said]
            yield f"{feed.name} was counted with {list_of(figures)} as told; not determined."


def _by_difference(programme: Programme, matrix: Matrix) -> Iterator[str]:
    if any(form.rule == "nfc-by-difference" for form in matrix.forms):
        yield (
            "NFC counts the protein bound to fibre twice here (so it comes out low), since not every feed on "
            "offer has that analysis."
        )

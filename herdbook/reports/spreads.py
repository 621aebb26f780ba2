"""How far each feed's figures may lie off, from its own analyses, tests and loadings, else from what is published."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from statistics import stdev
from typing import Any

from herdbook.book.reading import feed_history
from herdbook.book.reading.feed_history import AnalysisCard
from herdbook.chores.ground import Ground
from herdbook.reports.ration import end_of_day
from herdbook.science.ration import Part
from herdbook.science.sources import SOURCES
from herdbook.science.spread import PartSpread, expected_of, expected_variation

MILLION = 1_000_000
FEWEST, NEWEST = 3, 10
"""A spread is a feed's own from so many analyses or tests on; more than the newest ten are not looked at."""
FEWEST_LOADINGS, LOADING_DAYS = 5, 28
WET_BELOW = 0.60
"""A feed with less dry matter than this is a wet one: common practice, no source."""
TESTER_POINTS = 1.0
"""A farm tester lies within 1 to 2 points of the oven (Weiss, Hay & Forage); the nearer is taken as one deviation."""
AS_WEIGHED = "weighed"
PUBLISHED = (
    "published variation, as much as 15 % of organic, 30 % of mineral and 10 % of energy figures, read as two "
    f"deviations: {SOURCES['STANTON1615'].citation()}"
)
PUBLISHED_LOADING = (
    f"46.7 % of 386,011 loadings within 2 %, as the normal curve: {SOURCES['BARRY-W324'].citation()}"
)


@dataclass(frozen=True, slots=True)
class FeedSpread:
    """What is known of one feed's spread.

    Args:
        nutrients: standard deviations of its own analyses, by nutrient, each with how many had it.
        analyses: how many analyses were looked at.
        dry_points: standard deviation of its dry matter in points, none where not known; and from what.
        loading: how far a loading of it lies from its plan, as a fraction (root mean square); and from what.
        entries: the analyses and tests under it.
        loading_entries: the loadings under it.
    """

    nutrients: Mapping[str, tuple[float, int]] = field(default_factory=dict)
    analyses: int = 0
    dry_points: float | None = None
    dry_from: str = ""
    loading: float = 0.0
    loading_from: str = ""
    entries: tuple[int, ...] = ()
    loading_entries: tuple[int, ...] = ()

    @property
    def analyses_from(self) -> str:
        """Whose spread the analyses' is, in words."""
        return f"its own {self.analyses} analyses" if self.nutrients else "published"

    def of(self, part: Part, *, weighed: bool) -> PartSpread:
        """The spread of a part of this feed: own where there is one, else published.

        Args:
            part: the feed in a ration.
            weighed: whether its weight was read on a scale, or is only meant to be loaded.
        """
        sds: dict[str, float] = {}
        for key, value in part.nutrients.items():
            own, published = self.nutrients.get(key), expected_of(key)
            if own is not None:
                sds[key] = own[0]
            elif published is not None:
                sds[key] = published.relative_sd * abs(value)
        dry = None if self.dry_points is None else self.dry_points / 100
        return PartSpread(sds, dry, 0.0 if weighed else self.loading)


class FeedSpreads:
    """Every feed's spread as it was known at the end of a day, asked once.

    Args:
        connection: the book.
        ground: the farm's clock.
        day: the day.
    """

    def __init__(self, connection: Any, ground: Ground, day: date) -> None:
        day_text = day.isoformat()
        self._analyses: dict[int, list[AnalysisCard]] = defaultdict(list)
        for card in feed_history.analyses_up_to(connection, day_text, most=NEWEST):
            self._analyses[card.feed].append(card)
        self._tests: dict[int, list[Any]] = defaultdict(list)
        at_s = end_of_day(ground, day)
        for row in feed_history.dry_tests_up_to(connection, at_s, most=NEWEST):
            self._tests[row["feed"]].append(row)
        self._loadings: dict[int, list[Any]] = defaultdict(list)
        since = (day - timedelta(days=LOADING_DAYS - 1)).isoformat()
        for row in feed_history.loadings(connection, since, day_text):
            self._loadings[row["feed"]].append(row)
        self._made: dict[tuple[int, bool], FeedSpread] = {}

    def of(self, feed: int, dry_fraction: float) -> FeedSpread:
        """The spread of a feed that has that dry matter."""
        key = (feed, dry_fraction < WET_BELOW)
        if key not in self._made:
            analyses, tests, loadings = self._analyses[feed], self._tests[feed], self._loadings[feed]
            points, dry_from = _dry(tests, analyses, is_wet=key[1])
            loading, loading_from = _loading(loadings)
            entries = [*(card.entry for card in analyses), *(row["entry"] for row in tests)]
            self._made[key] = FeedSpread(
                _nutrients(analyses), len(analyses), points, dry_from, loading, loading_from,
                tuple(dict.fromkeys(entries)), tuple(dict.fromkeys(row["entry"] for row in loadings)),
            )  # fmt: skip
        return self._made[key]


def _nutrients(analyses: Sequence[AnalysisCard]) -> dict[str, tuple[float, int]]:
    found: dict[str, list[float]] = defaultdict(list)
    for card in analyses:
        for key, value in card.values.items():
            if value is not None:
                found[key].append(value)
    return {key: (stdev(values), len(values)) for key, values in found.items() if len(values) >= FEWEST}


def _dry(tests: Sequence[Any], analyses: Sequence[AnalysisCard], *, is_wet: bool) -> tuple[float | None, str]:
    """Points of dry matter that one deviation is, from tests, else from analyses, else from the tester's own error."""
    if len(tests) >= FEWEST:
        return stdev(row["dry_ppm"] / 10_000 for row in tests), f"its newest {len(tests)} tests"
    if len(analyses) >= FEWEST:
        return stdev(card.dry_ppm / 10_000 for card in analyses), f"its {len(analyses)} analyses"
    if is_wet:
        return TESTER_POINTS, "a tester's error (Weiss, Hay & Forage)"
    return None, "not known"


def _loading(loadings: Sequence[Any]) -> tuple[float, str]:
    """How far loadings lie from their plan: the root mean square, so that a steady lean counts too."""
    if len(loadings) < FEWEST_LOADINGS:
        published = expected_variation()["loading"]
        return published.relative_sd, "published, 33 herds"
    off = [row["loaded_g"] / row["planned_g"] - 1 for row in loadings]
    mean_square = sum(one * one for one in off) / len(off)
    return math.sqrt(mean_square), f"its {len(off)} loadings in {LOADING_DAYS} days"

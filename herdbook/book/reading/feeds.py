"""Feeds as they stood on a day: card, newest analysis, newest dry matter, price; mixes by what they are made of."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from herdbook.book.reading import mixes as read_mixes
from herdbook.book.reading.mixes import Recipe
from herdbook.book.reading.rows import first, rows, stands

MILLION = 1_000_000
END_OF_TIME_S = 2**60
MADE_OF_PARTS = "worked out from its parts"


@dataclass(frozen=True, slots=True)
class FeedRow:
    """A feed as it stands."""

    feed: int
    name: str
    kind: str
    most_mg: int | None
    caution: str
    entry: int
    place: str = ""
    order_days: int | None = None


@dataclass(frozen=True, slots=True)
class AnalysisRow:
    """A feed's analysis: figures on dry matter in each nutrient's own unit; absent: not determined.

    Attributes:
        analysis: its row; 0 when it was worked out from a mix's parts.
        methods: nutrient -> how it was determined, where that was said.
        not_determined: nutrients the report names without a figure.
        gaps: nutrient -> feeds in a mix that have no figure of it, though they carry dry matter.
        under: entries under it beside its own: of the parts and their analyses.
    """

    analysis: int
    feed: int
    sampled_on: str
    dry_ppm: int
    laboratory: str
    entry: int
    values: Mapping[str, float] = field(default_factory=dict)
    number: str = ""
    reported_on: str | None = None
    basis: str = "dry matter"
    methods: Mapping[str, str] = field(default_factory=dict)
    not_determined: tuple[str, ...] = ()
    gaps: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    under: tuple[int, ...] = ()

    @property
    def is_worked_out(self) -> bool:
        """Whether it comes from a mix's parts and from no sample of its own."""
        return not self.analysis

    @property
    def entries(self) -> tuple[int, ...]:
        """Every entry under it."""
        return tuple(dict.fromkeys((self.entry, *self.under)))


@dataclass(frozen=True, slots=True)
class DryMatter:
    """A feed's dry matter in force, where it came from, and the entries under it.

    `day` is when it was tested or sampled; empty for a mix that was worked out from its parts.
    """

    dry_ppm: int
    since: str
    entry: int
    under: tuple[int, ...] = ()
    day: str = ""

    @property
    def entries(self) -> tuple[int, ...]:
        """Every entry under it."""
        return tuple(dict.fromkeys((self.entry, *self.under)))


@dataclass(frozen=True, slots=True)
class Leaf:
    """A feed inside another that is taken as it is: its share of the whole as fed, and the recipes on the way."""

    feed: int
    share: float
    entries: tuple[int, ...] = ()


def feeds(connection: sqlite3.Connection) -> list[FeedRow]:
    """Every feed, in the order they came into the book."""
    found: dict[int, FeedRow] = {}
    for row in rows(
        connection, f"SELECT feed_card.* FROM feed_card {stands('feed_card')} ORDER BY feed_card.id"
    ):
        found[row["feed"]] = FeedRow(
            row["feed"],
            row["name"],
            row["kind"],
            row["most_mg"],
            row["caution"],
            row["entry"],
            row["place"] or "",
            row["order_days"],
        )
    return list(found.values())


class FeedsAsOf:
    """Feeds as they stood at an instant, each asked once; a mix is worked out from its parts.

    Args:
        connection: the book.
        day: the farm day; analyses sampled up to it and recipes in force on it count.
        at_s: tests up to this instant count; all of the day if not given.
        dry_ppm: feed -> a dry matter to take in place of the book's, to see what it would change.
    """

    def __init__(
        self,
        connection: sqlite3.Connection,
        day: str,
        at_s: int | None = None,
        dry_ppm: Mapping[int, int] | None = None,
    ) -> None:
        self._connection, self._day = connection, day
        self._at_s = END_OF_TIME_S if at_s is None else at_s
        self._dry: dict[int, DryMatter | None] = {
            feed: DryMatter(ppm, "supposed", 0) for feed, ppm in (dry_ppm or {}).items()
        }
        self._analysis: dict[int, AnalysisRow | None] = {}
        self._leaves: dict[int, tuple[Leaf, ...]] = {}
        self._own: dict[int, AnalysisRow | None] = {}
        self._open: set[int] = set()

    @cached_property
    def recipes(self) -> Mapping[int, Recipe]:
        """The recipe of each mix in force."""
        return read_mixes.recipes_on(self._connection, self._day)

    @cached_property
    def kinds(self) -> Mapping[int, str]:
        """What sort of feed each is."""
        return {row.feed: row.kind for row in feeds(self._connection)}

    def dry(self, feed: int) -> DryMatter | None:
        """Dry matter in force: the newer of the last farm test and the last analysis; of a mix else by its parts."""
        if feed not in self._dry:
            self._dry[feed] = self._own_dry(feed) or self._mixed_dry(feed)
        return self._dry[feed]

    def analysis(self, feed: int) -> AnalysisRow | None:
        """Analysis in force: the laboratory's own; of a mix else by its parts.

        What was added to a mix (selenium, urea, monensin) is told from its parts where the laboratory does not.
        """
        if feed not in self._analysis:
            own = self._own_analysis(feed)
            mixed = self._mixed_analysis(feed) if feed in self.recipes else None
            self._analysis[feed] = _with_what_was_added(own, mixed) if own and mixed else own or mixed
        return self._analysis[feed]

    def leaves(self, feed: int) -> tuple[Leaf, ...]:
        """What a feed is made of, down to feeds that have an analysis of their own or no recipe; itself if neither."""
        if feed not in self._leaves:
            recipe = self.recipes.get(feed)
            itself = (Leaf(feed, 1.0),)
            if recipe is None or self._own_analysis(feed) is not None:
                self._leaves[feed] = itself
            else:
                self._leaves[feed] = itself  # a mix in a circle, should one stand, ends here
                self._leaves[feed] = self._leaves_of(recipe)
        return self._leaves[feed]

    def _leaves_of(self, recipe: Recipe) -> tuple[Leaf, ...]:
        """The leaves of a recipe, each feed once however often it comes."""
        whole = sum(share for _, share in recipe.parts)
        found: dict[int, Leaf] = {}
        for part, share in recipe.parts:
            for leaf in self.leaves(part):
                before = found.get(leaf.feed, Leaf(leaf.feed, 0.0, (recipe.entry,)))
                entries = tuple(dict.fromkeys((*before.entries, *leaf.entries)))
                found[leaf.feed] = Leaf(leaf.feed, before.share + share / whole * leaf.share, entries)
        return tuple(found.values())

    def _counts_from(self, feed: int) -> str:
        """The day from which a mix's own samples count: one of an earlier recipe says nothing of this one."""
        recipe = self.recipes.get(feed)
        return "" if recipe is None or recipe.first else recipe.from_day

    def _own_analysis(self, feed: int) -> AnalysisRow | None:
        if feed not in self._own:
            self._own[feed] = self._newest_analysis(feed)
        return self._own[feed]

    def _newest_analysis(self, feed: int) -> AnalysisRow | None:
        found = rows(
            self._connection,
            f"SELECT analysis.* FROM analysis {stands('analysis')} WHERE feed = ? AND sampled_on >= ? "
            "ORDER BY sampled_on, analysis.id",
            feed,
            self._counts_from(feed),
        )
        before = [row for row in found if row["sampled_on"] <= self._day]
        # a feed's first analysis serves the days before it too: better judged by it than by nothing
        chosen = before[-1] if before else found[0] if found and feed not in self.recipes else None
        return None if chosen is None else analysis_of_row(self._connection, chosen)

    def _own_dry(self, feed: int) -> DryMatter | None:
        test = first(
            self._connection,
            f"SELECT dry_test.*, entry.farm_day AS day FROM dry_test {stands('dry_test')} WHERE feed = ? "
            "AND tested_at <= ? AND entry.farm_day BETWEEN ? AND ? "
            "ORDER BY tested_at DESC, dry_test.id DESC LIMIT 1",
            feed,
            self._at_s,
            self._counts_from(feed),
            self._day,
        )
        analysis = self._own_analysis(feed)
        if test is not None and (analysis is None or test["day"] >= analysis.sampled_on):
            return DryMatter(test["dry_ppm"], f"tested {test['day']}", test["entry"], day=test["day"])
        if analysis is None:
            return None
        sampled = analysis.sampled_on
        return DryMatter(analysis.dry_ppm, f"analysed {sampled}", analysis.entry, day=sampled)

    def _mixed_dry(self, feed: int) -> DryMatter | None:
        """Total dry matter over total as fed; none where a part has none."""
        recipe = self.recipes.get(feed)
        if recipe is None or feed in self._open:
            return None
        self._open.add(feed)
        try:
            found = [(share, self.dry(part)) for part, share in recipe.parts]
        finally:
            self._open.discard(feed)
        known = [(share, dry) for share, dry in found if dry is not None]
        if len(known) < len(found) or not known:
            return None
        whole = sum(share for share, _ in known)
        under = tuple(dict.fromkeys(number for _, dry in known for number in dry.entries))
        return DryMatter(
            round(sum(share * dry.dry_ppm for share, dry in known) / whole),
            MADE_OF_PARTS,
            recipe.entry,
            under,
        )

    def _mixed_analysis(self, feed: int) -> AnalysisRow | None:
        from herdbook.book.reading.mixed_analysis import worked_out

        recipe = self.recipes[feed]
        dry = self._mixed_dry(feed)
        if dry is None or feed in self._open:
            return None
        self._open.add(feed)
        try:
            return worked_out(recipe, dry, self._leaves_of(recipe), self)
        finally:
            self._open.discard(feed)


def _with_what_was_added(own: AnalysisRow, mixed: AnalysisRow) -> AnalysisRow:
    from herdbook.science.nutrients import ADDED

    added = {key: mixed.values[key] for key in ADDED if key in mixed.values and key not in own.values}
    if not added:
        return own
    return replace(own, values={**own.values, **added}, under=mixed.entries)


def analysis_of_row(connection: sqlite3.Connection, row: sqlite3.Row) -> AnalysisRow:
    """An analysis with its figures, methods and what was not determined."""
    found = rows(
        connection,
        "SELECT nutrient, millionths, method FROM analysis_value WHERE analysis = ? ORDER BY id",
        row["id"],
    )
    return AnalysisRow(
        row["id"],
        row["feed"],
        row["sampled_on"],
        row["dry_ppm"],
        row["laboratory"],
        row["entry"],
        {one["nutrient"]: one["millionths"] / MILLION for one in found if one["millionths"] is not None},
        row["number"],
        row["reported_on"],
        row["basis"],
        {one["nutrient"]: one["method"] for one in found if one["method"]},
        tuple(one["nutrient"] for one in found if one["millionths"] is None),
    )


def analyses(connection: sqlite3.Connection, feed: int) -> list[AnalysisRow]:
    """Every analysis of a feed that stands, oldest sample first."""
    found = rows(
        connection,
        f"SELECT analysis.* FROM analysis {stands('analysis')} WHERE feed = ? ORDER BY sampled_on, analysis.id",
        feed,
    )
    return [analysis_of_row(connection, row) for row in found]


def analysis_on(
    connection: sqlite3.Connection, feed: int, day: str, at_s: int | None = None
) -> AnalysisRow | None:
    """The newest analysis whose sample was taken on or before a day; else the oldest there is.

    A feed's first analysis serves the days before it too: a ration of yesterday is better judged by it than by nothing.
    A mix without one of its own is worked out from its parts.
    """
    return FeedsAsOf(connection, day, at_s).analysis(feed)


def dry_matter_at(connection: sqlite3.Connection, feed: int, instant_s: int, day: str) -> DryMatter | None:
    """The dry matter in force at an instant: the newer of the last farm test and the last analysis.

    Args:
        instant_s: tests up to this instant count.
        day: the farm day of that instant; analyses sampled up to it count.
    """
    return FeedsAsOf(connection, day, instant_s).dry(feed)


@dataclass(frozen=True, slots=True)
class DryTestRow:
    """A farm's test of dry matter, with the dry matter of each subsample in parts per million."""

    test: int
    tested_at: int
    farm_day: str
    dry_ppm: int
    method: str
    entry: int
    subsamples_ppm: tuple[int, ...] = ()


def dry_tests(connection: sqlite3.Connection, feed: int) -> list[DryTestRow]:
    """Every dry-matter test of a feed that stands, oldest first."""
    found = rows(
        connection,
        f"SELECT dry_test.*, entry.farm_day AS day FROM dry_test {stands('dry_test')} WHERE feed = ? "
        "ORDER BY tested_at, dry_test.id",
        feed,
    )
    return [
        DryTestRow(
            row["id"],
            row["tested_at"],
            row["day"],
            row["dry_ppm"],
            row["method"],
            row["entry"],
            tuple(
                round(one["dried_mg"] * MILLION / one["wet_mg"])
                for one in rows(
                    connection,
                    "SELECT wet_mg, dried_mg FROM dry_sample WHERE dry_test = ? ORDER BY id",
                    row["id"],
                )
            ),
        )
        for row in found
    ]


def price_on(connection: sqlite3.Connection, feed: int, day: str) -> sqlite3.Row | None:
    """The price of a feed in force on a day (`cents_per_t`, `from_day`, `entry`)."""
    return first(
        connection,
        f"SELECT feed_price.* FROM feed_price {stands('feed_price')} WHERE feed = ? AND from_day <= ? "
        "ORDER BY from_day DESC, feed_price.id DESC LIMIT 1",
        feed,
        day,
    )

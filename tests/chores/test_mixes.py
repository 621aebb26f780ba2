"""A feed that the farm mixes is worked out from its parts, all the way down, and what a part lacks stays named."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.book.opening import reading
from herdbook.book.reading.feeds import analysis_on, dry_matter_at
from herdbook.book.reading.mixes import Recipe, circle, in_force
from herdbook.errors import Refused
from herdbook.reports import catalogue
from tests.rules_said import said_by
from tests.yard import DAY, Yard

TODAY = "2026-03-09"

# PMC5355475 (2017), table 2, g/kg: dry matter of the feed, then of dry matter; the dash of the paper is "nd"
GRASS = {
    "dry": "55.4",
    "value": ["ash=9.1", "cp=14.0", "fat=3.0", "ndf=54.2", "adf=32.2", "starch=nd", "sugar=8.9"],
}
CORN = {
    "dry": "31.6",
    "value": ["ash=4.1", "cp=8.0", "fat=3.5", "ndf=33.3", "adf=20.2", "starch=37.3", "sugar=nd"],
}
CONCENTRATE = {
    "dry": "87.8",
    "value": ["ash=12.0", "cp=39.4", "fat=3.3", "ndf=20.3", "adf=10.1", "starch=1.8", "sugar=13.7"],
}
PRINTED = {"ash": 7.9, "cp": 19.2, "fat": 3.3, "ndf": 35.7, "adf": 20.8}
TOLERANCE = 0.1  # 1 g/kg, as the inputs are printed


def feed(yard: Yard, name: str, kind: str = "grain", **analysis: Any) -> int:
    yard.do("feed", name=name, kind=kind)
    if analysis:
        yard.do("analysis", feed=name, sure="yes", **analysis)
    return yard.ground().find("feed", name)


def found(yard: Yard, name: str, day: str = TODAY) -> Any:
    with reading(yard.path) as connection:
        return analysis_on(connection, yard.ground().find("feed", name), day)


def dry(yard: Yard, name: str, day: str = TODAY) -> Any:
    with reading(yard.path) as connection:
        return dry_matter_at(connection, yard.ground().find("feed", name), yard.now_s, day)


def published(yard: Yard) -> None:
    """The published mix: 30 % grass silage, 40 % corn silage, 30 % concentrate of the dry matter, as shares as fed."""
    feed(yard, "Grass", "forage", **GRASS)
    feed(yard, "Maize", "forage", **CORN)
    feed(yard, "Concentrate", "protein", **CONCENTRATE)
    feed(yard, "Whole mix", "forage")
    as_fed = {"Grass": 30 / 55.4, "Maize": 40 / 31.6, "Concentrate": 30 / 87.8}
    whole = sum(as_fed.values())
    yard.do("mix", feed="Whole mix", part=[f"{name}={100 * one / whole:.4f}" for name, one in as_fed.items()])


@pytest.mark.parametrize("key", PRINTED)
def test_a_published_mix_comes_out_as_printed(yard: Yard, key: str) -> None:
    published(yard)
    assert found(yard, "Whole mix").values[key] == pytest.approx(PRINTED[key], abs=TOLERANCE)


def test_dry_matter_of_a_mix_is_total_over_total_and_no_mean(yard: Yard) -> None:
    published(yard)
    its = dry(yard, "Whole mix")
    assert its.dry_ppm == pytest.approx(
        465_327, abs=5
    )  # printed 465 g/kg; the mean of the percentages is 556
    assert its.since == "worked out from its parts"


def test_what_a_part_lacks_is_named_and_is_not_zero(yard: Yard) -> None:
    published(yard)
    analysis = found(yard, "Whole mix")
    names = yard.ground().names["feed"]
    assert analysis.gaps == {"starch": (names["Grass"],), "sugar": (names["Maize"],)}
    # over the dry matter that has a figure: 40 parts at 37.3 and 30 at 1.8 make 22.09, not the paper's 15.46
    assert analysis.values["starch"] == pytest.approx((40 * 37.3 + 30 * 1.8) / 70, abs=1e-4)


def test_the_ration_report_knows_exactly_what_share_has_no_analysis(yard: Yard) -> None:
    published(yard)
    yard.do("ration", name="Trial", item="Whole mix=24 kg dm")
    with reading(yard.path) as connection:
        report = catalogue.make("ration", connection, yard.ground(), {"name": "Trial"})
    figures = {line.name: line for line in report.table("figures").lines}
    assert figures["starch"]["no_analysis_percent"].number == pytest.approx(30, abs=1e-3)
    assert figures["cp"]["no_analysis_percent"].number == pytest.approx(0)
    assert figures["cp"]["value"].number == pytest.approx(19.2, abs=TOLERANCE)
    assert figures["forage_ndf"]["value"].number == pytest.approx(0.3 * 54.2 + 0.4 * 33.3, abs=1e-3)


def test_entries_of_the_parts_lie_under_a_mix(yard: Yard) -> None:
    published(yard)
    under = found(yard, "Whole mix").entries
    analyses = {row["entry"] for row in yard.rows("SELECT entry FROM analysis ORDER BY id DESC LIMIT 3")}
    assert analyses <= set(under)
    assert yard.row("SELECT entry FROM feed_mix")["entry"] in under


def nested(yard: Yard, depth: int) -> None:
    """A premix of 600 mg/kg selenium and a carrier, each level a tenth of the one above it, down to `Level 0`."""
    feed(yard, "Selenium premix", "premix", dry="100", value=["se_added=600", "monensin=20000"])
    feed(yard, "Urea", "protein", dry="100", value=["cp=281", "npn_cp=281"])
    feed(yard, "Carrier", "grain", dry="100", value=["cp=10", "ndf=10"])
    inner = "Selenium premix"
    for level in range(depth):
        feed(yard, f"Level {level}", "mineral")
        yard.do("mix", feed=f"Level {level}", part=[f"{inner}=10", "Urea=1", "Carrier=89"])
        inner = f"Level {level}"


def test_what_was_added_is_traced_through_mixes_in_mixes(yard: Yard) -> None:
    nested(yard, 3)
    values = found(yard, "Level 2").values
    assert values["se_added"] == pytest.approx(0.6)  # 600 mg/kg, a tenth three times over
    assert values["monensin"] == pytest.approx(20.0)
    assert values["npn_cp"] == pytest.approx(2.81 + 0.281 + 0.0281)
    assert found(yard, "Level 0").values["se_added"] == pytest.approx(60)


def test_a_mix_many_levels_deep_is_still_quick_to_work_out(yard: Yard) -> None:
    feed(yard, "Corn", "grain", dry="88", value="cp=9")
    below = "Corn", "Corn silage"
    for level in range(24):  # each level holds both of the level below: 2 to the 24 ways down
        for side in "ab":
            feed(yard, f"L{level}{side}", "grain")
            yard.do("mix", feed=f"L{level}{side}", part=[f"{below[0]}=50", f"{below[1]}=50"])
        below = f"L{level}a", f"L{level}b"
    assert 8.8 < found(yard, "L23a").values["cp"] < 9


def test_the_laboratorys_own_analysis_stands_but_what_was_added_is_still_told(yard: Yard) -> None:
    nested(yard, 1)
    yard.do("analysis", feed="Level 0", dry="95", value=["cp=12.5", "ca=1.1"])
    analysis = found(yard, "Level 0")
    assert not analysis.is_worked_out
    assert analysis.values == pytest.approx(
        {"cp": 12.5, "ca": 1.1, "se_added": 60, "monensin": 2000, "npn_cp": 2.81}
    )
    assert dry(yard, "Level 0").dry_ppm == 950_000


def test_a_farm_test_of_a_mix_stands_before_its_parts(yard: Yard) -> None:
    published(yard)
    yard.do("dry-matter", feed="Whole mix", dry="48.2")
    assert dry(yard, "Whole mix").dry_ppm == 482_000
    with reading(yard.path) as connection:
        ground = yard.ground()
        facts = catalogue.make("feeds", connection, ground, {}).table("feeds")
    assert next(line for line in facts.lines if line.name == "Whole mix")["dm_percent"].number == 48.2


def test_a_new_recipe_counts_from_its_day_and_puts_older_samples_aside(yard: Yard) -> None:
    feed(yard, "Salt", "mineral", dry="99", value="na=39.3")
    feed(yard, "Lime", "mineral", dry="99", value="ca=38")
    feed(yard, "Blend", "mineral")
    yard.do("mix", feed="Blend", part=["Salt=100"], since="-20")
    yard.do("analysis", feed="Blend", dry="98", value="na=37", sampled="-10")
    assert found(yard, "Blend").values == {"na": 37}
    yard.do("mix", feed="Blend", part=["Lime=100"], since="-2")
    assert found(yard, "Blend").values == {"ca": 38}  # the old sample was of the old recipe
    assert found(yard, "Blend", "2026-03-01").values == {"na": 37}
    yard.do("analysis", feed="Blend", dry="98", value="ca=36", sampled="-1")
    assert found(yard, "Blend").values == {"ca": 36}


def test_a_sample_taken_before_the_recipe_was_first_told_still_stands(yard: Yard) -> None:
    feed(yard, "Salt", "mineral", dry="99", value="na=39.3")
    feed(yard, "Blend", "mineral", dry="98", value="na=37", sampled="-10")
    yard.do("mix", feed="Blend", part="Salt=100")
    assert found(yard, "Blend").values == {"na": 37}


def test_struck_recipes_count_no_more(yard: Yard) -> None:
    published(yard)
    entry = yard.row("SELECT entry FROM feed_mix")["entry"]
    yard.do("strike", entry=str(entry))
    assert found(yard, "Whole mix") is None
    assert dry(yard, "Whole mix") is None


@pytest.mark.parametrize(
    ("part", "words"),
    [
        (["Salt=60", "Lime=39.8"], "shares make 99.80 %, 0.20 too little"),
        (["Salt=60", "Lime=41"], "1.00 too much"),
        (["Salt=60", "Salt=40"], "given twice"),
        (["Blend=100"], "cannot be its own part"),
    ],
)
def test_recipes_that_cannot_be_are_refused_in_words(yard: Yard, part: list[str], words: str) -> None:
    for name in ("Salt", "Lime", "Blend"):
        feed(yard, name, "mineral")
    with pytest.raises(Refused, match=words) as refused:
        yard.do("mix", feed="Blend", part=part)
    assert refused.value.field == "part"


def test_shares_within_a_tenth_of_a_hundred_are_taken_and_scaled(yard: Yard) -> None:
    feed(yard, "Salt", "mineral", dry="100", value="na=39")
    feed(yard, "Lime", "mineral", dry="100", value=["na=0", "ca=38"])
    feed(yard, "Blend", "mineral")
    yard.do("mix", feed="Blend", part=["Salt=33.3", "Lime=66.6"])
    assert found(yard, "Blend").values["na"] == pytest.approx(13.0)


def test_a_feed_is_never_made_of_itself_on_any_day(yard: Yard) -> None:
    for name in ("Aa", "Bb", "Cc"):
        feed(yard, name, "mineral")
    yard.do("mix", feed="Aa", part="Bb=100", since="-5")
    yard.do("mix", feed="Bb", part="Cc=100", since="-5")
    state = yard.pages()
    with pytest.raises(Refused, match="Cc of Aa of Bb of Cc: a feed cannot be made of itself"):
        yard.do("mix", feed="Cc", part="Aa=100")
    assert yard.pages() == state
    yard.do("mix", feed="Aa", part="Corn silage=100", since="today")  # from today on Aa holds no Bb
    with pytest.raises(Refused, match="made of itself"):
        yard.do("mix", feed="Cc", part="Aa=100", since="-2")
    yard.now_s += DAY


def test_striking_back_into_a_circle_ends_without_an_answer_and_without_hanging(yard: Yard) -> None:
    for name in ("Aa", "Bb"):
        feed(yard, name, "mineral")
    yard.do("mix", feed="Aa", part="Bb=100", since="-5")
    freed = yard.do("mix", feed="Aa", part="Corn silage=100", since="-5").entry
    yard.do("mix", feed="Bb", part="Aa=100", since="-5")
    yard.do("strike", entry=str(freed))
    assert found(yard, "Aa") is None
    assert dry(yard, "Bb") is None
    with reading(yard.path) as connection:
        assert catalogue.make("feeds", connection, yard.ground(), {}).table("mixes").lines


@given(
    shares=st.lists(st.integers(1, 1000), min_size=1, max_size=6),
    values=st.lists(st.floats(0.1, 60), min_size=6, max_size=6),
    fractions=st.lists(st.integers(50_000, 1_000_000), min_size=6, max_size=6),
)
def test_a_mix_lies_between_its_parts(shares: list[int], values: list[float], fractions: list[int]) -> None:
    from herdbook.science.ration import Part, totals

    parts = [Part(str(n), "", share, fractions[n] / 1e6, {"cp": values[n]}) for n, share in enumerate(shares)]
    share = totals(parts).nutrients["cp"].share
    assert share is not None
    used = values[: len(shares)]
    assert min(used) - 1e-9 <= share <= max(used) + 1e-9


@given(
    st.dictionaries(st.integers(1, 6), st.sets(st.integers(1, 6), min_size=1), max_size=6), st.integers(1, 6)
)
def test_a_circle_is_found_when_and_only_when_there_is_one(made_of: dict[int, set[int]], start: int) -> None:
    recipes = {
        one: Recipe(one, "2026-01-01", 1, tuple((part, 1) for part in sorted(parts)))
        for one, parts in made_of.items()
    }
    reached, new = set(), set(made_of.get(start, ()))
    while new - reached:
        reached |= new
        new = {part for one in reached for part in made_of.get(one, ())}
    way = circle(recipes, start)
    assert bool(way) == (start in reached)
    if way:
        assert way[0] == way[-1] == start
        assert all(after in made_of[before] for before, after in pairwise(way))


def test_the_newest_recipe_not_after_a_day_is_in_force() -> None:
    its = [Recipe(1, day, n, ()) for n, day in enumerate(("2026-01-01", "2026-02-01"))]
    assert [in_force(its, day).entry for day in ("2025-12-31", "2026-01-31", "2026-02-01")] == [0, 0, 1]


def test_a_check_of_the_book_finds_a_circle_that_striking_made(yard: Yard) -> None:
    for name in ("Aa", "Bb"):
        feed(yard, name, "mineral")
    yard.do("mix", feed="Aa", part="Bb=100", since="-5")
    freed = yard.do("mix", feed="Aa", part="Corn silage=100", since="-5").entry
    yard.do("mix", feed="Bb", part="Aa=100", since="-5")

    assert said_by(yard, "no_feed_is_made_of_itself") == ""
    yard.do("strike", entry=str(freed))
    said = said_by(yard, "no_feed_is_made_of_itself").splitlines()
    assert [line.partition(" It is")[2] for line in said] == [
        " made of itself: feed Aa of feed Bb of feed Aa. It has no analysis."
    ]

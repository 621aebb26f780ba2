"""Loads from what pens need: fewest, even, never over the mixer, nothing forgotten, the day right to a step."""

from __future__ import annotations

from collections import defaultdict
from math import ceil

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from herdbook.science.load_split import (
    Batch,
    MixerScale,
    PenNeed,
    SplitLoad,
    TooManyLoads,
    choose_mixer,
    in_order,
    on_step,
    split_day,
)

SILAGE, HAY, MINERAL = 1, 2, 3


def wagon(capacity: int = 9_000_000, step: int = 5_000_000, least: int = 0, key: int = 1, order: tuple = ()):
    return MixerScale(key, capacity, step, least, order)


def batch(*pens: tuple[int, int], feeding: int = 1, **per_cow_g: float) -> Batch:
    amounts = (
        {SILAGE: 25_000.0, HAY: 2_000.0} if not per_cow_g else {int(k[1:]): v for k, v in per_cow_g.items()}
    )
    return Batch(
        feeding, 1, amounts, tuple(PenNeed(at, head, float(cows)) for at, (head, cows) in enumerate(pens, 1))
    )


@st.composite
def days(draw: st.DrawFn) -> tuple[list[Batch], list[MixerScale]]:
    feeds = draw(st.lists(st.integers(1, 12), min_size=1, max_size=8, unique=True))
    batches = []
    for number in range(draw(st.integers(1, 4))):
        mine = draw(st.lists(st.sampled_from(feeds), min_size=1, unique=True))
        amounts = {feed: draw(st.floats(1, 6_000)) for feed in mine}
        heads = draw(st.lists(st.integers(1, 400), min_size=1, max_size=4))
        calls = [draw(st.sampled_from([0.25, 0.5, 0.95, 1.0, 1.05])) for _ in heads]
        pens = tuple(PenNeed(at, h, h * c) for at, (h, c) in enumerate(zip(heads, calls, strict=True), 1))
        batches.append(Batch(number + 1, number, amounts, pens))
    mixers = [
        MixerScale(
            key,
            draw(st.integers(1_000_000, 15_000_000)),
            draw(st.sampled_from([500, 1_000_000, 2_267_962, 5_000_000, 10_000_000])),
            draw(st.integers(0, 900_000)),
            tuple(draw(st.permutations(feeds))[: draw(st.integers(0, len(feeds)))]),
        )
        for key in range(1, draw(st.integers(1, 3)) + 1)
    ]
    return batches, mixers


def by_feed(loads: tuple[SplitLoad, ...]) -> dict[int, int]:
    found: dict[int, int] = defaultdict(int)
    for load in loads:
        for line in load.lines:
            found[line.feed] += line.grams
    return found


@given(days())
def test_no_load_is_over_its_mixer(day: tuple[list[Batch], list[MixerScale]]) -> None:
    assert all(load.total_g <= load.mixer.capacity_g for load in split_day(*day))


COARSE_THEN_FINE = (
    # the first mixer gives 438 g of feed 5 too much by its step of a kilogram; three calves then need 3 g of it
    [
        Batch(
            1,
            0,
            {**dict.fromkeys(range(1, 7), 1.0), 5: 3611.0, 7: 774.0, 8: 6000.0},
            (PenNeed(1, 385, 96.25),),
        ),
        Batch(2, 1, dict.fromkeys(range(1, 6), 1.0), (PenNeed(1, 3, 2.85),)),
    ],
    [MixerScale(1, 1_000_000, 500, 0, ()), MixerScale(2, 1_000_038, 1_000_000, 0, ())],
)


@given(days())
@example(COARSE_THEN_FINE)
def test_no_feed_is_forgotten_and_none_is_planned_at_nothing(
    day: tuple[list[Batch], list[MixerScale]],
) -> None:
    recipes = {one.recipe: one for one in day[0]}
    loads = split_day(*day)
    assert {load.recipe for load in loads} == set(recipes)
    for load in loads:
        assert {line.feed for line in load.lines} == set(recipes[load.recipe].per_cow_g)
        assert all(line.grams > 0 for line in load.lines)


@given(days())
@example(COARSE_THEN_FINE)
def test_each_feeds_total_of_the_day_is_right_to_within_one_step(
    day: tuple[list[Batch], list[MixerScale]],
) -> None:
    wanted: dict[int, float] = defaultdict(float)
    for one in day[0]:
        for feed, grams in one.per_cow_g.items():
            wanted[feed] += grams * sum(pen.cow_days for pen in one.pens)
    loads = split_day(*day)
    step = max(mixer.step_mg for mixer in day[1]) / 1000
    for feed, grams in by_feed(loads).items():
        lines = sum(line.feed == feed for load in loads for line in load.lines)
        assert abs(grams - wanted[feed]) <= step + lines + 1e-3  # each is kept to the gram


@given(days())
def test_every_amount_is_on_the_scales_step_or_weighed_by_hand(
    day: tuple[list[Batch], list[MixerScale]],
) -> None:
    for load in split_day(*day):
        for line in load.lines:
            assert line.by_hand == (line.exact_g * 1000 < 5 * load.mixer.step_mg)
            if line.by_hand:
                assert abs(line.grams - line.exact_g) <= 1
            else:
                steps = round(line.grams * 1000 / load.mixer.step_mg)
                assert line.grams == round(steps * load.mixer.step_mg / 1000)


@given(days())
def test_the_mixers_own_order_is_kept(day: tuple[list[Batch], list[MixerScale]]) -> None:
    for load in split_day(*day):
        named = [line.feed for line in load.lines if line.feed in load.mixer.order]
        assert named == sorted(named, key=load.mixer.order.index)
        unnamed_first = [line.feed in load.mixer.order for line in load.lines]
        assert unnamed_first == sorted(unnamed_first, reverse=True)


@given(days())
def test_heads_and_parts_of_a_pen_add_up_to_the_whole_pen(day: tuple[list[Batch], list[MixerScale]]) -> None:
    head: dict[tuple[int, int], int] = defaultdict(int)
    part: dict[tuple[int, int], float] = defaultdict(float)
    for load in split_day(*day):
        for pen in load.pens:
            assert pen.head >= 0
            head[load.recipe, pen.pen] += pen.head
            part[load.recipe, pen.pen] += pen.part
    for one in day[0]:
        for pen in one.pens:
            assert head[one.recipe, pen.pen] == pen.head
            assert part[one.recipe, pen.pen] == pytest.approx(1, abs=1e-6)


@given(days())
def test_there_are_no_more_loads_than_must_be(day: tuple[list[Batch], list[MixerScale]]) -> None:
    loads = split_day(*day)
    for one in day[0]:
        mine = [load for load in loads if load.recipe == one.recipe]
        mixer = mine[0].mixer
        # one more only where rounding to the step would pass the capacity
        least = ceil(one.total_g / mixer.capacity_g - 1e-9)
        room = mixer.capacity_g - len(one.per_cow_g) * (mixer.step_mg / 1000 + 1)
        assert least <= len(mine) <= max(least, ceil(one.total_g / room) if room > 0 else 10**9)


@given(days())
def test_loads_of_one_batch_are_even_to_a_tenth_either_side(
    day: tuple[list[Batch], list[MixerScale]],
) -> None:
    loads = split_day(*day)
    for one in day[0]:
        mine = [sum(pen.grams for pen in load.pens) for load in loads if load.recipe == one.recipe]
        even = one.total_g / len(mine)
        assert all(abs(grams - even) <= 0.2 * even + 1e-3 for grams in mine)


def test_a_pen_too_big_for_one_load_is_split_into_even_ones() -> None:
    # 500 cows at 27 kg are 13,500 kg; 9,000 kg hold it in two loads of 6,750: silage 6,250, hay 500
    loads = split_day([batch((500, 500))], [wagon()])
    assert [load.total_g for load in loads] == [6_750_000, 6_750_000]
    assert [[line.grams for line in load.lines] for load in loads] == [[6_250_000, 500_000]] * 2
    assert [load.head for load in loads] == [250, 250]


def test_a_load_ends_with_a_pen_where_that_leaves_the_loads_nearly_even() -> None:
    loads = split_day([batch((260, 260), (240, 240))], [wagon()])
    assert [[pen.pen for pen in load.pens] for load in loads] == [[1], [2]]
    loads = split_day([batch((400, 400), (100, 100))], [wagon()])
    assert [[(pen.pen, pen.head) for pen in load.pens] for load in loads] == [
        [(1, 250)],
        [(1, 150), (2, 100)],
    ]


def test_what_rounding_leaves_goes_into_the_next_load_of_that_feed() -> None:
    # 100 cows x 1.03 kg = 103 kg on a 10 kg scale, four times a day: 412 kg in all
    day = [batch((100, 100), feeding=n, _1=1_030.0) for n in (1, 2, 3, 4)]
    loads = split_day(day, [wagon(step=10_000_000)])
    assert [load.lines[0].grams // 1_000 for load in loads] == [100, 110, 100, 100]


def test_rounding_never_overfills_a_mixer_that_fits_exactly() -> None:
    # 90 x (66.6 + 33.4) kg = 9,000 kg: 5,994 and 3,006, which a scale of 10 kg would round to 5,990 and 3,010
    (load,) = split_day([batch((90, 90), _1=66_600.0, _2=33_400.0)], [wagon(step=10_000_000)])
    assert load.total_g <= 9_000_000
    # 45.5 + 44.5 kg of 90 would round up to 100 kg
    (load,) = split_day([batch((1, 1), _1=45_500.0, _2=45_500.0)], [wagon(capacity=91_000, step=1_000_000)])
    assert sorted(line.grams for line in load.lines) == [45_000, 46_000]


@given(days())
@example(COARSE_THEN_FINE)
def test_no_load_pays_for_another_with_more_than_its_own_scales_step(
    day: tuple[list[Batch], list[MixerScale]],
) -> None:
    for load in split_day(*day):
        for line in load.lines:
            assert line.by_hand or abs(line.grams - line.exact_g) <= 1.5 * load.mixer.step_mg / 1000 + 1


def test_what_a_coarse_mixer_gave_too_much_is_not_taken_from_a_small_batch_in_a_fine_one() -> None:
    big, small = wagon(9_000_000, 10_000_000, key=1), wagon(400_000, 500_000, key=2)
    many = batch((100, 100.0), _1=25_000.0, _2=2_050.0)  # 205 kg of feed 2, which its scale makes 210
    few = batch((20, 20.0), feeding=2, _1=10_000.0, _2=300.0)  # 6 kg of it
    loads = split_day([many, few], [big, small])
    assert [load.mixer.key for load in loads] == [1, 2]
    given = [line.grams for load in loads for line in load.lines if line.feed == HAY]
    assert given == [210_000, 6_000]  # not 1,000


def test_a_premix_too_small_for_the_scale_is_weighed_by_hand() -> None:
    (load,) = split_day([batch((50, 50), _1=25_000.0, _3=30.0)], [wagon()])
    silage, premix = load.lines
    assert (silage.by_hand, premix.by_hand, premix.grams) == (False, True, 1_500)
    assert (silage.scale_to_g, premix.scale_to_g) == (1_250_000, 1_250_000)  # the scale cannot see it


def test_the_small_mixer_takes_what_the_big_one_would_not_mix_well() -> None:
    big, small = wagon(key=1, least=3_000_000), wagon(capacity=3_000_000, key=2)
    assert choose_mixer(1_000_000, [big, small]) is small
    assert choose_mixer(2_999_000, [wagon(key=1), small]) is small  # as few loads, and better filled
    assert choose_mixer(6_000_000, [big, small]) is big  # one load instead of two
    assert choose_mixer(1_000_000, [big]) is big


def test_a_load_under_the_least_says_so() -> None:
    (load,) = split_day([batch((20, 20))], [wagon(least=1_000_000)])
    assert load.is_under_least


def test_feeds_that_the_mixer_does_not_name_come_last() -> None:
    assert in_order([1, 2, 3, 4], (4, 2)) == [4, 2, 1, 3]


@pytest.mark.parametrize(
    ("grams", "step", "planned"),
    [
        (41_600, 5_000_000, 40_000),
        (24_999, 5_000_000, 24_999),
        (0.2, 5_000, 1),
        (0, 5_000, 0),
        (18_870, 2_267_962, 18_144),
    ],
)
def test_an_amount_is_put_on_the_step_unless_it_is_too_small(grams: float, step: int, planned: int) -> None:
    assert on_step(grams, step) == planned


def test_a_mixer_that_could_never_hold_the_feeds_ends_in_words_and_not_in_a_circle() -> None:
    with pytest.raises(TooManyLoads):
        split_day([batch((1, 1), _1=20.0, _2=20.0, _3=10.0)], [wagon(capacity=2, step=1_000_000)])


def test_no_mixer_no_load() -> None:
    with pytest.raises(ValueError, match="mixer"):
        split_day([batch((1, 1))], [])


def test_a_batch_that_needs_nothing_makes_no_load() -> None:
    assert split_day([batch((0, 0))], [wagon()]) == ()

"""The bullet bar: seats of the limits, the side of the value, plain signs."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.screens.parts.bullet_bar import FEWEST_CELLS, bullet, side_of, verdict_of
from herdbook.screens.parts.signs import PLAIN, UNICODE

numbers = st.one_of(
    st.integers(-10_000, 10_000),
    st.fractions(min_value=-1000, max_value=1000, max_denominator=997),
    st.floats(-1e6, 1e6, allow_nan=False),
)
cells = st.integers(1, 60)


# Drawn by hand for 15 cells: limits on cells 4 and 10.
@pytest.mark.parametrize(
    ("value", "low", "aim", "high", "ring", "track", "word"),
    [
        pytest.param(31.4, 28, 30, 33, 32, "────┝━┿━●○┥────", "ok", id="inside, with the version in use"),
        pytest.param(0.62, 0.65, 0.8, 1.1, None, "───●┝━┿━━━┥────", "< low", id="just under"),
        pytest.param(2.6, 1.0, 1.5, 1.8, None, "────┝━━━┿━┥───▸", "> high", id="far over"),
        pytest.param(218, None, None, 400, None, "━━━━━●━━━━┥────", "ok", id="no lowest"),
        pytest.param(60, 48, None, None, None, "────┝●━━━━━━━━━", "ok", id="no highest"),
        pytest.param(None, 1, None, 2, None, "────┝━━━━━┥────", "? not known", id="not known"),
    ],
)
def test_a_bar_is_drawn_as_a_person_would_draw_it(value, low, aim, high, ring, track, word):
    drawn = bullet(value, low, aim, high, ring=ring, cells=15)
    assert (drawn.track.plain, drawn.verdict.plain) == (track, word)


def test_plain_signs_say_the_same():
    assert bullet(31.4, 28, 30, 33, ring=32, cells=15, signs=PLAIN).track.plain == "----[=+=o.]----"
    assert bullet(2.6, 1.0, 1.5, 1.8, cells=15, signs=PLAIN).track.plain == "----[===+=]--->"


@given(value=numbers, one=numbers, other=numbers, length=cells)
def test_rounding_never_moves_a_value_to_the_wrong_side_of_a_limit(value, one, other, length):
    low, high = sorted((one, other))
    drawn = bullet(value, low, None, high, cells=length)
    track = drawn.track.plain
    seat = next(
        at for at, sign in enumerate(track) if sign in (UNICODE.now, UNICODE.off_left, UNICODE.off_right)
    )
    low_seat, high_seat = track.index(UNICODE.low), track.index(UNICODE.high)
    assert (seat < low_seat) == (value < low)
    assert (seat > high_seat) == (value > high)
    assert drawn.side == ("low" if value < low else "high" if value > high else "ok")


@given(value=numbers, limit=numbers, length=cells)
def test_one_limit_alone_keeps_the_value_on_its_side_too(value, limit, length):
    upper = bullet(value, None, None, limit, cells=length).track.plain
    lower = bullet(value, limit, None, None, cells=length).track.plain
    signs = (UNICODE.now, UNICODE.off_left, UNICODE.off_right)
    seat_in = lambda track: next(at for at, sign in enumerate(track) if sign in signs)  # noqa: E731
    assert (seat_in(upper) > upper.index(UNICODE.high)) == (value > limit)
    assert (seat_in(lower) < lower.index(UNICODE.low)) == (value < limit)


@given(value=numbers, low=numbers, aim=numbers, length=cells)
def test_the_limits_stand_in_the_same_place_whatever_the_figures(value, low, aim, length):
    drawn, other = bullet(value, low, aim, low + 7, cells=length), bullet(3, 0, None, 9, cells=length)
    assert len(drawn.track.plain) == max(length, FEWEST_CELLS)
    for sign in (UNICODE.low, UNICODE.high):
        assert drawn.track.plain.index(sign) == other.track.plain.index(sign)


def test_a_value_at_its_limit_is_inside_and_a_hair_beyond_is_not():
    third = Fraction(1, 3)
    assert side_of(third, third, None) == "ok"
    assert side_of(third - Fraction(1, 10**12), third, None) == "low"
    assert side_of(third + Fraction(1, 10**12), None, third) == "high"


def test_what_is_not_a_number_is_not_known():
    assert bullet(float("nan"), 1, 2, 3).side == "unknown"


def test_limits_the_wrong_way_round_are_a_mistake_of_the_program():
    with pytest.raises(ValueError, match="above"):
        bullet(1, 3, None, 2)


def test_the_short_verdict_keeps_the_sign():
    assert verdict_of("low", short=True).plain == "<"
    assert verdict_of("high", short=True).plain == ">"
    assert verdict_of("ok", short=True).plain == "ok"

"""A new hand's round on a small terminal: loads, drops and refusals, by Enter, digits, arrows and Escape alone."""

from __future__ import annotations

import json
import signal
import sqlite3
from contextlib import closing

import pytest

from tests.seat import FarmTime, Seat
from tests.yard import DAY

ALLOWED = {"enter", "up", "down", "left", "right", "esc", *"0123456789"}
MOST_BYTES = 6_000


class Hand(Seat):
    """Somebody who knows four kinds of keys."""

    def press(self, *keys: str) -> None:
        """Press keys; any other than those is a fault of the test."""
        for key in keys:
            assert key == "f3" or set([key] if key in ALLOWED else key) <= ALLOWED, key
        super().press(*keys)

    def then(self, *keys: str, sees: str) -> int:
        """Press keys once the screen is at rest, wait for what they bring; how many bytes that took."""
        self.quiet(0.9)  # Enter at once after Enter is taken for a key held down
        before = self.bytes
        self.press(*keys)
        self.wait(sees)
        self.quiet(0.3)
        return self.bytes - before


@pytest.fixture
def morning(yard, tmp_path):
    """Two pens with a ration on the morning after; nothing is begun."""
    yard.now_s += DAY - 3 * 3_600
    yard.do("ration", name="Dry 1", item=["Corn silage=30", "Mineral mix=0.3"])
    yard.do("pen-ration", pen="Far dry", ration="Dry 1")
    yard.book.close()
    seats = []

    def sit():
        seats.append(Hand(yard.path, FarmTime(tmp_path / "clock", "2026-03-10 07:30"), "Cleo", (60, 20)))
        seats[-1].wait("Yesterday  milk")
        seats[-1].press("f3")
        return seats[-1]

    yield sit
    for seat in seats:
        seat.close()


def test_two_loads_and_their_drops_take_enter_digits_arrows_and_escape(morning, yard):
    hand = morning()
    hand.wait("No load started. Enter starts load 1, High")
    hand.then("enter", sees="Corn silage to 2,675 lb")  # 17.3 lb / 0.336 x 52 = 2,677, in steps of 5
    taken = hand.then("enter", sees="Mineral mix to 2,715 lb")  # 0.8 lb x 52 = 41.6
    typed = hand.then("2720", sees="Mineral mix 45 lb")
    typed += hand.then("enter", sees="Enter drops 2,720 lb")
    assert taken < MOST_BYTES
    assert typed < MOST_BYTES
    hand.then("up", sees="written as 2,720 lb")  # the display said 2,715 after all
    hand.then("2715", sees="corrected: Mineral mix 40 lb")
    hand.then("enter", sees="Enter drops 2,715 lb")
    hand.then("2700", sees="15 lb left")
    hand.then("enter", sees="Enter starts load 2, Far dry")
    hand.then("enter", sees="Corn silage to 540 lb")  # 30 lb x 18
    hand.then("545", "enter", sees="Mineral mix 5.4 lb")  # 0.3 lb x 18, under five steps of the scale
    hand.then("enter", sees="Enter drops 550 lb")
    hand.then("esc", sees="Enter opens the chosen load")
    hand.then("enter", sees="Enter drops 550 lb")
    hand.then("enter", sees="is dropped")
    weighed = yard.rows(
        "SELECT load_weight.loaded_g FROM load_weight JOIN entry ON entry.number = load_weight.entry "
        "WHERE entry.farm_day = '2026-03-10' "
        "AND entry.number NOT IN (SELECT strikes FROM entry WHERE strikes IS NOT NULL) ORDER BY load_weight.id"
    )
    pounds = [round(row["loaded_g"] / 453.59237, 1) for row in weighed]
    assert sorted(pounds) == sorted([2675, 40, 545, 5.4])
    dropped = yard.rows("SELECT dropped_g FROM feed_drop WHERE farm_day = '2026-03-10' ORDER BY id")
    assert [round(row["dropped_g"] / 453.59237) for row in dropped] == [2700, 550]


def test_refusals_are_weighed_back_from_their_line_on_today_by_enter_and_digits(morning, yard):
    hand = morning()
    hand.wait("Enter starts load 1, High")
    hand.then("esc", sees="Weigh back refusals")
    for _ in range(6):
        if any(line.startswith("▸") and "Weigh back" in line for line in hand.lines):
            break
        hand.press("down")
        hand.quiet(0.3)
    hand.then("enter", sees="A REFUSAL")
    hand.then("enter", "84", sees="84 lb")  # the pen is offered: the only one that was fed yesterday
    for _ in range(8):
        if "Write?" in hand.text:
            break
        hand.press("enter")
        hand.quiet(0.3)
    hand.then("enter", sees="High refused 84 lb of 2026-03-09")
    (refused,) = yard.rows("SELECT refused_g, fed_on FROM refusal")
    assert round(refused["refused_g"] / 453.59237) == 84
    assert refused["fed_on"] == "2026-03-09"


def kept(yard):
    """What the numbers typed and not written are, as the book keeps them."""
    with closing(sqlite3.connect(yard.path)) as connection:
        return [json.loads(row[0]).get("typed") for row in connection.execute("SELECT texts FROM draft")]


@pytest.mark.parametrize("digits", ["2", "27", "271", "2710"])
def test_a_line_cut_at_any_digit_of_the_scale_finds_feed_and_digits_as_they_were(morning, yard, digits):
    hand = morning()
    hand.wait("Enter starts load 1, High")
    hand.then("enter", sees="Corn silage to 2,675 lb")
    hand.then("enter", sees="Mineral mix to 2,715 lb")
    hand.then("up", sees="Corn silage, written as 2,675 lb")
    hand.press(digits)
    hand.wait(lambda _: digits in kept(yard), "the digits to be kept")
    hand.signal(signal.SIGKILL)
    assert hand.exit_status() == -signal.SIGKILL
    hand = morning()
    hand.wait("What you typed is back")
    hand.wait(f"Was really {digits} ")
    assert "Corn silage" in next(line for line in hand.lines if line.startswith("▸"))

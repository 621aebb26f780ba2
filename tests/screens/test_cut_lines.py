"""A line cut at any keystroke of the feeding round's forms: whoever comes back finds the form as it stood."""

from __future__ import annotations

import json
import signal
import sqlite3
from collections.abc import Iterator
from contextlib import closing

import pytest

from tests.seat import FarmTime, Seat

pytestmark = pytest.mark.slow
FORMS = {
    "drop": (
        "d",
        "A DROP",
        [("enter", "Pen High"), ("enter", "Weight 90"), ("7", "Weight 7"), ("5", "Weight 75")],
    ),
    "refusal": ("r", "A REFUSAL", [("H", "Pen H"), ("enter", "Weight"), ("8", "Weight 8")]),
    "walk": (
        "o",
        "A COW SEEN",
        [("2", "Cow 2"), ("enter", "What off feed"), ("enter", "Words"), ("s", "Words s")],
    ),
}
"""Its key, its heading, and keystrokes that fill a part of it: each with what stands where the cursor is then."""
READ_BACK = 22
"""From this column on stands what was understood, which comes a moment after what was typed."""


@pytest.fixture
def sit(yard, tmp_path) -> Iterator:
    """Sit down at the yard's book; called again, sit down anew."""
    yard.book.close()
    seats = []

    def take():
        seats.append(Seat(yard.path, FarmTime(tmp_path / "clock", "2026-03-09 10:00"), "Cleo", (80, 24)))
        seats[-1].wait("Yesterday  milk", "Today to be shown")
        seats[-1].go("f3", "Load 1 of 1")
        return seats[-1]

    yield take
    for seat in seats:
        seat.close()


def form(seat: Seat) -> list[str]:
    """The slip's rows, and where the cursor stands; not what is said below it."""
    titles = tuple(f" {title}" for _, title, _ in FORMS.values())
    at = next((at for at, row in enumerate(seat.lines) if row.startswith(titles)), len(seat.lines))
    return [
        *(row[:READ_BACK].rstrip() for row in seat.lines[at:-2]),
        f"cursor {seat.screen.cursor.y, seat.screen.cursor.x}",
    ]


def see(seat: Seat, field: str) -> list[str]:
    """Wait until the cursor is in a field with what stands there, and give the form as it then is.

    A drawing may come in pieces on a busy machine, the cursor last: nothing is taken for the form before.
    """

    def is_there(_: str) -> bool:
        row = seat.lines[seat.screen.cursor.y]
        return row.startswith(" ▸ ") and row[:READ_BACK].split()[1:] == field.split()

    seat.wait(is_there, f"the cursor at {field!r}")
    seat.quiet(0.15)
    return form(seat)


def kept_words(yard) -> str:
    """What the book keeps of the words typed about a cow."""
    with closing(sqlite3.connect(yard.path)) as connection:
        found = [json.loads(row[0]) for row in connection.execute("SELECT texts FROM draft")]
    return "".join(json.loads(one["texts"])["words"] for one in found)


@pytest.mark.parametrize("name", FORMS)
def test_a_line_cut_after_any_keystroke_brings_the_form_back_as_it_stood(sit, yard, name):
    key, title, strokes = FORMS[name]
    seat = sit()
    seat.press(key)
    seat.wait(title)
    seat.quiet(0.15)
    for stroke, field in strokes:
        seat.press(stroke)
        stood = see(seat, field)
        seat.hang_up()
        assert seat.exit_status() == 128 + signal.SIGHUP
        seat = sit()
        seat.wait("form is back as it was")
        seat.wait(lambda _, stood=stood, here=seat: form(here) == stood, f"the form as it stood: {stood}")


def test_a_program_killed_outright_loses_no_more_than_its_last_second(sit, yard):
    key, title, strokes = FORMS["walk"]
    seat = sit()
    seat.press(key)
    seat.wait(title)
    seat.press(*(stroke for stroke, _ in strokes))
    seat.wait(lambda _: kept_words(yard) == "s", "the form to be kept")
    stood = see(seat, "Words s")
    seat.signal(signal.SIGKILL)
    assert seat.exit_status() == -signal.SIGKILL
    seat = sit()
    seat.wait("form is back as it was")
    seat.wait(lambda _: form(seat) == stood, f"the form as it stood: {stood}")

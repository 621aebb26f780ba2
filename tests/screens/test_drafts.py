"""What was typed and not written outlives the session, whatever ended it, and is written once."""

from __future__ import annotations

import json
import signal
import sqlite3
from contextlib import closing

import pytest

from tests.seat import FarmTime, Seat

AT_WORK = "2026-03-09 10:00"


@pytest.fixture
def sit(yard, tmp_path):
    """Sit down at the yard's book; called again, sit down anew."""
    yard.book.close()
    time, seats = FarmTime(tmp_path / "clock", AT_WORK), []

    def take(person="Cleo"):
        seats.append(Seat(yard.path, time, person))
        seats[-1].wait("Yesterday  milk", "Today to be shown")
        return seats[-1]

    yield take
    for seat in seats:
        seat.close()


def kept(yard):
    """The drafts in the book, by place."""
    with closing(sqlite3.connect(yard.path)) as connection:
        return {
            form: json.loads(texts) for form, texts in connection.execute("SELECT form, texts FROM draft")
        }


def wait_until_kept(seat, yard, words):
    """Wait until the book holds a draft with these words in it."""
    for _ in range(200):
        if words in json.dumps(kept(yard)):
            return
        seat.quiet(0.05)
    raise AssertionError(f"never kept {words!r}: {kept(yard)}")


def test_a_killed_session_leaves_slip_and_number_to_the_next_which_writes_each_once(sit, yard):
    seat = sit()
    seat.go("f4", "TANK BOOK")
    seat.press("3", "9")
    seat.wait("39.0 °F at 10:00")
    wait_until_kept(seat, yard, '"39"')
    seat.go("f3", "PENS TODAY")
    seat.press("d", "enter", "enter", "75")
    seat.wait("→ 75 lb")
    wait_until_kept(seat, yard, '\\"75\\"')
    requests = {place: draft.get("typed_request") or draft["request"] for place, draft in kept(yard).items()}
    seat.signal(signal.SIGKILL)
    assert seat.exit_status() == -signal.SIGKILL

    seat = sit()
    seat.wait("waits in Feeding (F3), Milk (F4)")
    seat.press("f3")
    seat.wait("is back as it was")
    seat.wait("→ 75 lb")
    seat.press("ctrl+s")
    seat.wait("Written: High got 75 lb")
    seat.press("f4")
    seat.wait("What you typed is back")
    seat.wait("39.0 °F at 10:00")
    seat.press("enter")
    seat.wait("Written: North 39.0 °F")
    seat.press("ctrl+q")
    seat.wait("Leave?")
    seat.press("enter")
    assert seat.exit_status() == 0
    assert kept(yard) == {}
    for request in requests.values():
        assert yard.row("SELECT count(*) AS n FROM entry WHERE request = ?", request)["n"] == 1


@pytest.mark.parametrize(("number", "status"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129)])
def test_told_to_end_it_keeps_what_was_typed_a_moment_before(sit, yard, number, status):
    seat = sit()
    seat.go("f4", "TANK BOOK")
    seat.press("p", "4300")
    seat.wait("4300")
    seat.signal(number)
    assert seat.exit_status() == status
    assert json.loads(kept(yard)["milk"]["texts"])["weight"] == "4300"


def test_a_cut_line_keeps_a_slip_that_was_stepped_back_from_too(sit, yard):
    seat = sit()
    seat.go("f4", "TANK BOOK")
    seat.press("p", "4300", "esc")
    seat.wait("Kept as typed")
    seat.press("4", "4")
    seat.wait("44.0 °F at 10:00")
    seat.hang_up()
    assert seat.exit_status() == 129
    seat = sit()
    seat.press("f4")
    seat.wait("44.0 °F at 10:00")
    seat.press("esc")
    seat.wait("with the agitator running")
    seat.press("p")
    seat.wait("Back as you left it")
    seat.wait("→ 4,300 lb")


def test_what_one_place_kept_is_not_lost_while_another_place_is_written_in(sit, yard):
    seat = sit()
    seat.go("f4", "TANK BOOK")
    seat.press("4", "1")
    wait_until_kept(seat, yard, '"41"')
    seat.signal(signal.SIGKILL)
    seat.exit_status()
    seat = sit()
    seat.go("f3", "PENS TODAY")
    seat.press("r", "enter", "30")
    wait_until_kept(seat, yard, '\\"30\\"')
    assert kept(yard)["milk"]["typed"] == "41"


def test_a_draft_whose_request_is_in_the_book_already_does_not_come_back(sit, yard):
    seat = sit()
    seat.go("f4", "TANK BOOK")
    seat.press("4", "2")
    wait_until_kept(seat, yard, '"42"')
    draft = kept(yard)["milk"]
    seat.press("enter")
    seat.wait("Written: North 42.0 °F")
    seat.signal(signal.SIGKILL)
    seat.exit_status()
    with closing(sqlite3.connect(yard.path)) as connection:  # as if it had been killed before it was cleared
        connection.execute("DELETE FROM draft")
        connection.execute(
            "INSERT INTO draft (person, form, request, texts, saved_ms) VALUES (3, 'milk', ?, ?, 0)",
            (draft["typed_request"], json.dumps(draft)),
        )
        connection.commit()
    seat = sit()
    seat.quiet(0.2)
    assert "waits in" not in seat.text
    seat.go("f4", "TANK BOOK")
    seat.wait("with the agitator running")

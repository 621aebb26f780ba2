"""What one writes the others see by themselves; and a screen that nothing concerns is not painted again."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import Any

from herdbook.screens.desk import Desk, Look
from herdbook.screens.reading import Reading
from tests.seat import FarmTime, Seat
from tests.yard import ADA, CLEO, Yard


def wait(fact: Callable[[], object]) -> None:
    until = time.monotonic() + 20
    while not fact():
        assert time.monotonic() < until
        time.sleep(0.005)


def test_the_reading_thread_speaks_once_for_a_change_by_another_and_never_without_one(yard: Yard) -> None:
    desk = Desk(yard.path, ADA.person, ADA.name, ADA.roles, yard.now)
    asked, looks, changes, first = [0], [0], [], threading.Event()

    def version(look: Look) -> int:
        looks[0] += 1
        return look.version()

    def job(look: Look) -> None:
        asked[0] += 1

    reading = Reading(
        open_data=desk.open_look,
        version=version,
        deliver=lambda call, *arguments: call(*arguments),
        changed=lambda: changes.append(looks[0]),
        every_s=0.01,
    )
    reading.start()

    def failed(error: Exception) -> Any:
        raise error

    reading.ask("place", job, done=lambda _: first.set(), failed=failed)
    try:
        assert first.wait(20)
        wait(lambda: looks[0] > 20)
        assert changes == []
        yard.do("note", words="by another", by=CLEO)
        wait(lambda: changes)
        seen = looks[0]
        wait(lambda: looks[0] > seen + 20)
        assert len(changes) == 1
        assert asked[0] == 1
    finally:
        reading.stop()


def test_a_reading_by_another_appears_and_a_note_that_is_not_shown_sends_next_to_nothing(
    yard: Yard, tmp_path: Any
) -> None:
    time_there = FarmTime(tmp_path / "time", "2026-03-09 10:00")
    with Seat(yard.path, time_there, "Ada") as seat:
        seat.go("f4", "North")
        seat.quiet(1.0)
        before = seat.bytes
        yard.do("note", words="the gate sticks", by=CLEO)
        yard.do("temperature", reading="40.9F", by=CLEO)
        seat.wait("40.9", "what another wrote")
        seat.quiet(0.5)
        sent = bytes(seat.raw[before:])
        assert len(sent) < 2_000
        assert b"\x1b[2J" not in sent
        seat.quiet(2.5)
        before = seat.bytes
        seat.quiet(5.0)
        assert seat.bytes == before

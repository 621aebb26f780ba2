"""The thread that sends: a fault of the program is not swallowed, a file that cannot be used is said once."""

from __future__ import annotations

import pytest

from herdbook.watch import outbox
from herdbook.watch.outbox import Outbox
from herdbook.watch.places import places_path, write_places
from tests.watch.test_sending import warm
from tests.watch.test_watching import wait_for
from tests.yard import Yard


def test_a_fault_in_the_thread_ends_the_watcher(yard: Yard) -> None:
    def broken(*_: str) -> int:
        raise ZeroDivisionError

    write_places(yard.path, {"phone": "json://x"})
    warm(yard)
    sender = Outbox(yard.path, lambda: yard.now_s, lambda _: None, broken)
    sender.start()
    wait_for(lambda: not sender._thread.is_alive(), "the thread to end")
    with pytest.raises(ZeroDivisionError):
        sender.see_well()


def test_addresses_that_others_may_read_are_said_once_and_taken_up_once_mended(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(outbox, "EVERY_S", 0.02)
    said: list[str] = []
    sent: list[str] = []
    write_places(yard.path, {"phone": "json://x"})
    places_path(yard.path).chmod(0o644)
    warm(yard)
    sender = Outbox(yard.path, lambda: yard.now_s, said.append, lambda *given: sent.append(given[0]) or 0)
    sender.start()
    try:
        wait_for(lambda: len(said) == 1, "the fault to be said")
        assert "may be read by others" in said[0]
        assert sent == []
        places_path(yard.path).chmod(0o600)
        wait_for(lambda: sent == ["json://x"], "the notice to be sent")
        wait_for(lambda: len(said) == 2, "it to be said")
    finally:
        sender.stop()
    assert said[1] == "notice 1 (alarm 1) sent to phone"
    sender.see_well()

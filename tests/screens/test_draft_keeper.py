"""What is kept last stays: neither an older state nor one of a program that is taking itself down comes after it."""

from __future__ import annotations

import threading

from herdbook.screens.draft_keeper import DraftKeeper, Drafts


def ended(keeper_threads: str = "drafts") -> None:
    for thread in threading.enumerate():
        if thread.name == keeper_threads:
            thread.join()


def test_nothing_is_kept_after_the_last() -> None:
    kept: list[Drafts] = []
    keeper = DraftKeeper(kept.append)
    keeper.keep_aside({"walk": {"cow": "4"}})
    ended()
    keeper.keep_now({"walk": {"cow": "41"}})
    keeper.keep_aside({})  # the forms are down already
    ended()
    assert kept == [{"walk": {"cow": "4"}}, {"walk": {"cow": "41"}}]


def test_an_older_state_that_is_slow_does_not_overwrite_the_last() -> None:
    kept: list[Drafts] = []
    may_go = threading.Event()

    def slowly(drafts: Drafts) -> None:
        if drafts == {"walk": {"cow": "4"}}:
            may_go.wait(5)
        kept.append(drafts)

    keeper = DraftKeeper(slowly)
    keeper.keep_aside({"walk": {"cow": "4"}})
    keeper.keep_aside({"walk": {"cow": "41"}})
    may_go.set()
    keeper.keep_now({"walk": {"cow": "412"}})
    ended()
    assert kept[-1] == {"walk": {"cow": "412"}}

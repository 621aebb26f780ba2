"""Somebody else has the book's turn: the person is told after a second, and what they wrote goes in after all."""

from __future__ import annotations

import sqlite3
from contextlib import closing

from herdbook.screens.book_place import WAITS
from tests.screens.desks import HOME, go, program, settled, shown, text
from tests.yard import CLEO


async def test_who_waits_for_a_turn_is_told_and_then_writes(yard):
    app, entries = program(yard, CLEO), yard.entries
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        with closing(sqlite3.connect(yard.path, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            await pilot.press(*"41.2", "enter")
            await shown(pilot, WAITS[:40])
            assert yard.entries == entries
            other.execute("ROLLBACK")
        await shown(pilot, "Written:")
        assert WAITS[:40] not in text(app)
    assert yard.entries == entries + 1

"""The quick walk of the chain says yes exactly where the slow one and a second verifier find nothing."""

from __future__ import annotations

import random
import sqlite3
from contextlib import closing

import pytest

from herdbook.book import checks
from herdbook.book.opening import UNREADABLE
from herdbook.book.walking import chain_is_whole
from tests.book import reference_chain
from tests.test_checks import forge
from tests.yard import Yard

ODD_NAMES = ('Quote " and \\ back', "Größe 42 µm", "牛舎", "a\u2028b", "</pen>", "nought\\u0000")


def quick(yard: Yard) -> bool:
    with closing(sqlite3.connect(f"file:{yard.path}?mode=ro", uri=True)) as connection:
        return chain_is_whole(connection)


def slow(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> list[checks.Finding]:
    monkeypatch.setattr(checks, "chain_is_whole", lambda connection: False)
    with closing(sqlite3.connect(f"file:{yard.path}?mode=ro", uri=True)) as connection:
        connection.row_factory = sqlite3.Row
        return list(checks.chain_faults(connection))


def test_odd_letters_and_strikes_are_walked_alike(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ODD_NAMES:
        yard.do("pen", name=name, note=f"note {name}")
    yard.do("strike", entry=str(yard.entries), because="typed wrong")
    assert reference_chain.faults(yard.path) == []
    assert slow(yard, monkeypatch) == []
    assert quick(yard)


@pytest.mark.parametrize("stride", [1, 2, 7])
def test_where_the_walk_takes_breath_makes_no_difference(
    yard: Yard, monkeypatch: pytest.MonkeyPatch, stride: int
) -> None:
    monkeypatch.setattr("herdbook.book.walking.STRIDE", stride)
    assert quick(yard)
    forge(yard, f"UPDATE entry SET said = 'x' WHERE number = {yard.entries}")
    assert not quick(yard)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE temperature SET tank_mC = tank_mC + 1",
        "UPDATE temperature SET id = id + 1000",
        "UPDATE pen_card SET name = name || ' '",
        "UPDATE entry SET struck_by = 5 WHERE number = 4",
        "UPDATE entry SET strikes = 4 WHERE number = 20",
        "UPDATE entry SET previous = 'x' WHERE number = 7",
        "DELETE FROM entry WHERE number = 1",
        "DELETE FROM entry WHERE number = 9",
        "INSERT INTO head_count (id, entry, pen, counted_at, head) VALUES (99, 3, 1, 1773000000, 3)",
        "UPDATE load_weight SET entry = 2",
        "CREATE TABLE cheques (amount)",
    ],
)
def test_the_quick_walk_and_the_slow_one_agree_on_what_was_forged(
    yard: Yard, monkeypatch: pytest.MonkeyPatch, statement: str
) -> None:
    forge(yard, statement)
    quickly = quick(yard)
    try:
        slowly = slow(yard, monkeypatch) == []
    except sqlite3.DatabaseError:
        slowly = False
    assert (quickly, slowly) == (False, False)


def test_flipped_bits_are_judged_alike(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    """150 bits turned one at a time, among them some that make a number or a name a thing of another kind."""
    yard.book.close()
    whole, chance, broken = yard.path.read_bytes(), random.Random(7), 0
    for _ in range(150):
        turned, spot = bytearray(whole), chance.randrange(100, len(whole))
        turned[spot] ^= 1 << chance.randrange(8)
        yard.path.write_bytes(turned)
        try:
            slowly = slow(yard, monkeypatch) == []
        except UNREADABLE:
            slowly = False
        assert quick(yard) <= slowly, f"byte {spot}: the quick walk missed what the slow one sees"
        broken += not slowly
    assert broken
    print(f"150 bits turned, {broken} break the chain")


@pytest.mark.parametrize("kind", ["x'4142'", "1.5"])
def test_a_thing_of_an_odd_kind_is_a_finding_not_a_crash(
    yard: Yard, monkeypatch: pytest.MonkeyPatch, kind: str
) -> None:
    """A damaged file can hold what no column takes; here a table that lets it in stands in for one."""
    yard.book.close()
    with closing(sqlite3.connect(yard.path, isolation_level=None)) as connection:
        connection.execute("CREATE TABLE odd (id INTEGER PRIMARY KEY, entry INTEGER, thing BLOB)")
        connection.execute(f"INSERT INTO odd VALUES (1, 5, {kind})")
    assert not quick(yard)
    assert [fault.about for fault in slow(yard, monkeypatch)] == ["entry 5"]

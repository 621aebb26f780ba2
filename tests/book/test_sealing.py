"""A seal can be read over the telephone, and shows whether anything up to it was changed."""

from __future__ import annotations

import hashlib
import re
import string
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.book.checks import check_book
from herdbook.book.sealing import SYMBOLS, Seal, read_seal, seal_book
from herdbook.errors import ChoreRefused, Refused
from tests.test_checks import forge, rehash
from tests.yard import Yard

DAY = "2026-03-09"
seals = st.builds(
    Seal,
    st.dates().filter(lambda day: 1000 <= day.year <= 2999).map(lambda day: day.isoformat()),
    st.integers(1, 10**9),
    st.text("0123456789abcdef", min_size=30, max_size=30),
)


def broken(yard: Yard, seal: Seal) -> list[str]:
    yard.book.close()
    found = check_book(yard.path, yard.now_s, [seal])
    return [one.says for one in found.findings if one.part == "seal"]


def test_a_seal_is_the_day_the_last_entry_and_the_start_of_its_hash(yard: Yard) -> None:
    seal, head = seal_book(yard.path, DAY)
    last = yard.row("SELECT number, hash FROM entry ORDER BY number DESC LIMIT 1")
    assert (seal.farm_day, seal.number, head) == (DAY, last["number"], last["hash"])
    assert re.fullmatch(r"2026-03-09 \d+( [0-9A-Z]{4}){6} [0-9A-Z]", seal.text)
    spoken = "".join(seal.text.split()[2:-1])
    bits = "".join(f"{'0123456789ABCDEFGHJKMNPQRSTVWXYZ'.index(symbol):05b}" for symbol in spoken)
    assert f"{int(bits, 2):030x}" == last["hash"][:30]


def test_symbols_that_sound_or_look_alike_are_left_out() -> None:
    assert len(SYMBOLS) == 32
    assert set(string.digits + string.ascii_uppercase) - set(SYMBOLS) == set("ILOU")


@given(seals)
def test_what_is_printed_is_read_back(seal: Seal) -> None:
    assert read_seal(seal.text) == seal


@given(seals, st.data())
def test_however_it_is_typed_it_is_read(seal: Seal, data: st.DataObject) -> None:
    day, number, *groups = seal.text.split()
    between = data.draw(st.sampled_from(["", " ", "-", " - ", ". "]))
    spoken = between.join(groups).replace("0", data.draw(st.sampled_from("0oO")))
    spoken = spoken.replace("1", data.draw(st.sampled_from("1iIlL")))
    typed = f"{data.draw(st.sampled_from(['', 'seal ', 'Seal: ']))}{day} {int(number):,}  {spoken.lower()} "
    assert read_seal(typed) == seal


@given(seals, st.data())
def test_the_check_letter_finds_any_one_misread_sign(seal: Seal, data: st.DataObject) -> None:
    text = seal.text
    at = data.draw(st.sampled_from([n for n, sign in enumerate(text) if sign not in " -"]))
    signs = SYMBOLS if at > text.index(" ", 11) else string.digits
    text = text[:at] + data.draw(st.sampled_from(sorted(set(signs) - {text[at]}))) + text[at + 1 :]
    with pytest.raises(Refused):
        read_seal(text)


@given(seals, st.data())
def test_the_check_letter_finds_two_neighbours_swapped(seal: Seal, data: st.DataObject) -> None:
    text = seal.text
    signs = [n for n, sign in enumerate(text) if sign not in " -"]
    pairs = [
        (one, other)
        for one, other in pairwise(signs)
        if text[one] != text[other]
        and (other < 10 or 10 < one < text.index(" ", 11) > other or one > text.index(" ", 11))
    ]
    one, other = data.draw(st.sampled_from(pairs))
    swapped = list(text)
    swapped[one], swapped[other] = text[other], text[one]
    with pytest.raises(Refused):
        read_seal("".join(swapped))


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "seal",
        DAY,
        f"{DAY} 20",
        f"{DAY} 20 ABCD",
        "20 ABCD",
        "x" * 5000,
        f"{DAY} 20 " + "U" * 25,
        f"{DAY} 20 " + "É" * 25,
    ],
)
def test_what_is_no_seal_is_refused(typed: str) -> None:
    with pytest.raises(Refused, match="not a seal"):
        read_seal(typed)


def test_a_seal_holds_while_the_book_grows(yard: Yard) -> None:
    seal, _ = seal_book(yard.path, DAY)
    for _ in range(3):
        yard.do("temperature", reading="41F")
    yard.do("strike", entry=str(yard.entries), because="typed wrong")
    yard.do("strike", entry="20", because="what was sealed may be struck: that is written too")
    assert broken(yard, seal) == []


def test_a_change_before_the_seal_is_found_and_named(yard: Yard) -> None:
    seal, _ = seal_book(yard.path, DAY)
    forge(
        yard, "UPDATE entry SET said = 'x' WHERE number = 12", "UPDATE entry SET said = 'x' WHERE number = 9"
    )
    (says,) = broken(yard, seal)
    assert says.startswith(f"the chain no longer reaches entry {seal.number}: entry 9 ")


def test_a_change_after_the_seal_leaves_it_whole(yard: Yard) -> None:
    seal, _ = seal_book(yard.path, DAY)
    yard.do("temperature", reading="41F")
    forge(yard, f"UPDATE entry SET said = 'x' WHERE number = {yard.entries}")
    assert broken(yard, seal) == []


def test_a_chain_made_anew_is_found_though_the_book_alone_looks_whole(yard: Yard) -> None:
    seal, _ = seal_book(yard.path, DAY)
    forge(yard, "UPDATE temperature SET tank_mC = 3000 WHERE id = 1")
    rehash(yard)
    yard.book.close()
    assert [one for one in check_book(yard.path, yard.now_s).findings if one.part == "chain"] == []
    (says,) = broken(yard, seal)
    assert "is not the one that was sealed" in says


@pytest.mark.parametrize(("gone", "says"), [(1, "entry {n} is gone."), (3, "{m} to {n} are gone.")])
def test_a_tail_cut_off_is_found(yard: Yard, gone: int, says: str) -> None:
    for _ in range(3):
        yard.do("temperature", reading="41F")
    seal, _ = seal_book(yard.path, DAY)
    first = seal.number - gone + 1
    forge(
        yard, f"DELETE FROM temperature WHERE entry >= {first}", f"DELETE FROM entry WHERE number >= {first}"
    )
    (found,) = broken(yard, seal)
    assert found == f"the book ends at entry {first - 1}: {says.format(n=seal.number, m=first)}"


def test_another_books_seal_does_not_hold(yard: Yard) -> None:
    seal, head = seal_book(yard.path, DAY)
    other = hashlib.sha256(head.encode()).hexdigest()[:30]
    assert broken(yard, replace(seal, start=other))


def test_what_is_not_sound_or_empty_is_not_sealed(yard: Yard) -> None:
    forge(yard, "UPDATE entry SET said = 'x' WHERE number = 9")
    with pytest.raises(ChoreRefused, match="entry 9"):
        seal_book(yard.path, DAY)

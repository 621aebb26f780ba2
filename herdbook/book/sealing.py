"""Seals: the end of the chain as a short figure for paper or telephone, and whether a book still carries it."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from herdbook.book.checks import Finding, chain_faults
from herdbook.book.opening import reading
from herdbook.errors import ChoreRefused, Refused

SYMBOLS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Five bits each; I, L, O and U are left out, because they are taken for 1, 0 and V on paper and by telephone."""

HEARD_AS = str.maketrans("ILO", "110")
HASH_DIGITS = 30
"""Hexadecimal digits of the hash that a seal carries: 120 bits, too many to be met by trying."""

GROUP = 4
GROUPS = HASH_DIGITS * 4 // 5 // GROUP

_DAY = r"(?P<day>[12]\d{3}-[01]\d-[0-3]\d)"
_SEAL = re.compile(
    rf"(?:SEAL)?[\s:]*{_DAY}[\s,;:]+(?P<number>\d[\d,]{{0,14}})[\s;:]+(?P<symbols>[0-9A-Z\s.,-]+)"
)


@dataclass(frozen=True, slots=True)
class Seal:
    """The end of a chain on a day.

    Args:
        farm_day: the farm day it was printed on, ISO 8601.
        number: the last entry then.
        start: the first `HASH_DIGITS` hexadecimal digits of that entry's hash.
    """

    farm_day: str
    number: int
    start: str

    @property
    def text(self) -> str:
        """As it is printed: day, entry, the hash in groups of four, a check letter over all of it."""
        symbols = _symbols(self.start)
        groups = [symbols[at : at + GROUP] for at in range(0, len(symbols), GROUP)]
        return f"{self.farm_day} {self.number} {' '.join(groups)} {self.check}"

    @property
    def check(self) -> str:
        """The check letter: it fits no seal with one letter or digit changed, nor with two neighbours swapped.

        A remainder over the field of 32 elements, with ``x**5 + x**2 + 1``: the digits of day and number and the
        symbols of the hash are weighed with rising powers of ``x``, and neighbours never weigh the same.
        """
        digits = [int(digit) for digit in f"{self.farm_day.replace('-', '')}{self.number}"]
        weighed = 0
        for value in [*digits, *map(SYMBOLS.index, _symbols(self.start))]:
            weighed = _times_x(weighed ^ value)
        return SYMBOLS[weighed]

    @property
    def name(self) -> str:
        """How a finding calls it."""
        return f"seal of {self.farm_day} at entry {self.number}"


def _times_x(value: int) -> int:
    return (value << 1) ^ (0b100101 if value & 0b10000 else 0)


def _symbols(start: str) -> str:
    value, count = int(start, 16), len(start) * 4 // 5
    return "".join(SYMBOLS[value >> 5 * place & 31] for place in reversed(range(count)))


def read_seal(text: str) -> Seal:
    """A seal as someone typed it: any case, any spaces or dashes between the letters, I and L for 1, O for 0.

    Raises:
        Refused: it is no seal, or its check letter does not fit.
    """
    found = _SEAL.fullmatch(text.strip().upper())
    symbols = re.sub(r"[\s.,-]", "", found["symbols"]).translate(HEARD_AS) if found else ""
    if found is None or len(symbols) != GROUPS * GROUP + 1 or set(symbols) - set(SYMBOLS):
        raise Refused(
            f"This is not a seal: a day, a number, {GROUPS} groups of {GROUP} letters and a check letter.",
            remedy="Type it whole, in quotes, as `herdbook seal` printed it.",
            field="against",
        )
    value = 0
    for symbol in symbols[:-1]:
        value = value << 5 | SYMBOLS.index(symbol)
    seal = Seal(found["day"], int(found["number"].replace(",", "")), f"{value:0{HASH_DIGITS}x}")
    if seal.check != symbols[-1]:
        raise Refused(
            "The seal's check letter does not fit: something in it was misread or mistyped.",
            remedy="Read it again, letter by letter.",
            field="against",
        )
    return seal


def seal_book(path: Path, farm_day: str) -> tuple[Seal, str]:
    """The seal of a book as it is now, and the whole hash it is taken from; the chain is walked first.

    Args:
        path: the book.
        farm_day: the farm's day today, ISO 8601.

    Raises:
        ChoreRefused: nothing is written yet, or the chain is not whole: what is not sound is not sealed.
    """
    with reading(path) as connection:
        for fault in chain_faults(connection):
            raise ChoreRefused(
                f"The book cannot be sealed: {fault.about} {fault.says}", remedy="Run `herdbook check`."
            )
        last = connection.execute("SELECT number, hash FROM entry ORDER BY number DESC LIMIT 1").fetchone()
    if last is None:
        raise ChoreRefused("Nothing is written yet that could be sealed.", remedy="Write something first.")
    return Seal(farm_day, last["number"], last["hash"][:HASH_DIGITS]), last["hash"]


def seal_faults(connection: sqlite3.Connection, seal: Seal, chain: Iterable[Finding]) -> Iterator[Finding]:
    """What speaks against nothing up to the sealed entry having changed; nothing if the seal holds.

    Args:
        connection: one consistent look at the book.
        seal: what was written down.
        chain: what `chain_faults` found in the same look.
    """
    last = connection.execute("SELECT max(number) FROM entry").fetchone()[0] or 0
    breaks = _first_break(list(chain), seal.number)
    if breaks is not None:
        yield Finding("seal", seal.name, f"the chain no longer reaches entry {seal.number}: {breaks}")
        return
    if last < seal.number:
        gone = f"entry {seal.number} is" if seal.number == last + 1 else f"{last + 1} to {seal.number} are"
        yield Finding("seal", seal.name, f"the book ends at entry {last}: {gone} gone.")
        return
    found = connection.execute("SELECT hash FROM entry WHERE number = ?", (seal.number,)).fetchone()
    if found is None or not found[0].startswith(seal.start):
        says = (
            f"entry {seal.number} is not the one that was sealed. It or an entry before it was changed and the "
            "chain made anew, or this is another book."
        )
        yield Finding("seal", seal.name, says, (seal.number,))


def _first_break(chain: Sequence[Finding], number: int) -> str | None:
    """Where the chain breaks up to an entry; a fault that names no entry may lie anywhere."""
    before = [fault for fault in chain if not fault.entries or min(fault.entries) <= number]
    if not before:
        return None
    first = min(before, key=lambda fault: min(fault.entries, default=0))
    return f"{first.about} {first.says}"

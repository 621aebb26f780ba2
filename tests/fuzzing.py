"""Readers of what people type and send, fed with spoilt text: each must understand it or refuse it in a sentence."""

from __future__ import annotations

import atexit
import random
import signal
import sqlite3
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from herdbook.chores import import_analyses, import_ration
from herdbook.chores.doing import ground_of
from herdbook.chores.ground import Ground
from herdbook.chores.sheets import sheet_of
from herdbook.clock import FarmClock, parse_day, parse_moment
from herdbook.errors import Refused, SeveralRefused
from herdbook.plain import plain
from herdbook.units import UNITS, parse
from tests.yard import TEN_O_CLOCK, write_template

LONGEST_S = 1.0
"""Processor seconds that one case may take."""

_WORDS = (
    "\" ' , ; | . - − + / % : = # < ~ ( ) \\ ½ ² ٣ १ ３ Ⅷ € µ ° _ $ `id` e9 1e999 nan inf 0 00 1 1/0 1/3 -0 0x1f "
    "1_000 1,000 1.000,5 24:00 2026-02-30 0000-00-00 9999-12-31 y now today noon lb kg F C in cwt " + "9" * 40
)
_SIGNS = " \t\n\r\0\x9b\u00a0\u202e\u202f\u200b\ufeff\ud7ff\U0010ffff"
TOKENS: tuple[bytes, ...] = (
    *(word.encode() for word in _WORDS.split()),
    *(sign.encode() for sign in _SIGNS),
    *(b"\r\n", b"\x1b[2J", b"\xff", b"\xfe", b"\xc3", b"\xed\xa0\x80", b"\xff\xfe", b"\x80"),
)


def mutated(seed: bytes, others: tuple[bytes, ...], chance: random.Random) -> bytes:
    """A seed after one to four small accidents: bits, bytes, pieces taken out, doubled, moved, put in."""
    whole = bytearray(seed)
    for _ in range(1 + int(chance.random() * 4)):
        size = len(whole)
        at = int(chance.random() * (size + 1))
        what = int(chance.random() * 8)
        if what == 0 and size:
            whole[at % size] ^= 1 << int(chance.random() * 8)
        elif what == 1 and size:
            whole[at % size] = int(chance.random() * 256)
        elif what == 2:
            del whole[at : at + 1 + int(chance.random() * 4)]
        elif what == 3:
            piece = whole[at : at + 1 + int(chance.random() * 12)]
            whole[at:at] = piece * (1 + int(chance.random() * 3))
        elif what == 4:
            other = chance.choice(others)
            start = int(chance.random() * (len(other) + 1))
            whole[at:] = other[start : start + 200]
        elif what == 5:
            del whole[at:]
        else:
            whole[at:at] = chance.choice(TOKENS)
    return bytes(whole)


@dataclass(frozen=True)
class Reader:
    """Something that reads what people type or send.

    Args:
        seeds: what it understands, to be spoilt.
        read: reads bytes; may raise `Refused` and nothing else.
        text: whether hypothesis shall make text for it; else bytes.
        by_place: whether every refusal has to name a line, a column or the file.
    """

    seeds: tuple[bytes, ...]
    read: Callable[[bytes], Any]
    text: bool = True
    by_place: bool = False


CLOCK = FarmClock("America/Chicago")
_DIMENSIONS = sorted({one.dimension for one in UNITS})
_OF_DIMENSION = {
    dimension: next(one.symbol for one in UNITS if one.dimension == dimension) for dimension in _DIMENSIONS
}


def _quantity(sent: bytes) -> None:
    text, nth = sent.decode("utf-8", "replace"), sum(sent)
    dimension = ("mass", "temperature", "length", _DIMENSIONS[nth % len(_DIMENSIONS)])[nth // 2 % 4]
    decimal = ".,"[nth % 2]
    parse(text, dimension=dimension, default=_OF_DIMENSION[dimension], decimal=decimal)


def _day(sent: bytes) -> None:
    parse_day(sent.decode("utf-8", "replace"), today=date(2026, 3, 9))


def _moment(sent: bytes) -> None:
    parse_moment(sent.decode("utf-8", "replace"), clock=CLOCK, now_s=TEN_O_CLOCK)


@cache
def _ground() -> tuple[sqlite3.Connection, Ground]:
    """The made-up farm, held in memory."""
    from herdbook.book.reading.farm import farm

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "farm.book"
        write_template(path)
        connection = sqlite3.connect(":memory:")
        there = sqlite3.connect(path)
        there.backup(connection)
        there.close()
    connection.row_factory = sqlite3.Row
    return connection, ground_of(connection, farm(connection), TEN_O_CLOCK)


def _analyses(sent: bytes) -> None:
    connection, ground = _ground()
    sheet = sheet_of(sent, "lab.csv", import_analyses.is_known_heading)
    read = import_analyses.read_analyses(sheet, connection, ground)
    if read.rows:  # else every sample is in the book already
        read.draft(sheet.file)


def _ration(sent: bytes) -> None:
    _, ground = _ground()
    sheet = sheet_of(sent, "diet.csv", import_ration.is_known_heading)
    import_ration.read_ration(sheet, ground).draft(file=sheet.file, name="High 2")


@cache
def _spot() -> Path:
    """A file to lay a logger's bytes in; its reader looks at files, as loggers write them."""
    folder = tempfile.TemporaryDirectory()
    atexit.register(folder.cleanup)
    return Path(folder.name) / "logger"


def _readings(sent: bytes) -> None:
    from herdbook.chores.logger_files import read_logger_file
    from herdbook.chores.logger_layouts import Given

    _, ground = _ground()
    _spot().write_bytes(sent)
    read = read_logger_file(_spot(), Given(), ground, whole=True, name="logger.csv")
    if read.found.faults:
        raise SeveralRefused([Refused(f"{read.name}, {fault}") for fault in read.found.faults])


def _words(sent: bytes) -> None:
    from herdbook.cli.ssh import words_of

    words_of(sent)


READERS: Mapping[str, Reader] = {
    "quantities": Reader(
        tuple(
            text.encode()
            for text in (
                "1,940 lb",
                "39.2F",
                "33 1/4 in",
                "12 cwt",
                "16.8%",
                "1 940,5 kg",
                "-2.5 °C",
                "3/4 ton",
                ".5",
            )
        ),
        _quantity,
    ),
    "days": Reader(
        tuple(
            text.encode()
            for text in (
                "today",
                "yesterday",
                "-3",
                "mon",
                "9",
                "2026-03-09",
                "9 mar",
                "9 march 2026",
                "3/9",
                "9.3.26",
            )
        ),
        _day,
    ),
    "moments": Reader(
        tuple(
            text.encode()
            for text in (
                "now",
                "640",
                "6:40",
                "-15",
                "y 1810",
                "2026-03-09 10:12",
                "mon 6:40",
                "2026-03-09T15:12:00Z",
            )
        ),
        _moment,
    ),
    "analyses": Reader(
        (
            b"feed,number,sampled,dry matter,cp,ndf (%),ca,ca method,cu (mg/kg),starch\n"
            b"Corn silage,A-17,2026-03-02,33.6,8.8,45.0,0.28,wet,6.1,nd\n\nMineral mix,A-18,2026-03-02,97,,,20,,,\n",
            b'# lab\nfeed;dry;cp;ndf\n"Corn silage";33,6;8,8;45,0\n',
            "feed\tmoisture\tp [%]\tbasis\nMineral mix\t3\t1.2\tdry matter\n".encode("utf-16"),
        ),
        _analyses,
        text=False,
        by_place=True,
    ),
    "ration": Reader(
        (
            b"feed,amount,unit,basis\nCorn silage,17.3,lb,dry matter\nMineral mix,0.7,lb,as fed\n",
            b"feed;amount\nCorn silage;7,8 kg dm\nMineral mix;0,3 kg\n",
            b'feed|amount|unit|-note\n# all\nMineral mix|1/2|lb|stirred in\n"Corn\nsilage"|40|lb|\n',
        ),
        _ration,
        text=False,
        by_place=True,
    ),
    "readings": Reader(
        (
            b"time,tank C\n2026-03-08 05:00,18.5\n2026-03-08 05:15,14.0\n2026-03-08 05:30,9.25\n2026-03-08 05:45,6.0\n",
            b"Date;Time;Temp (F)\n8.3.2026;05:00;64,5\n8.3.2026;05:15;57,0\n8.3.2026;05:30;48,5\n8.3.2026;05:45;43,0\n",
            b"1772967600\t39.5\n1772968500\t38.75\n1772969400\t38.5\n",
            'no,"Date/Time","Probe 1 (\u00b0F)"\n1,2026-03-08T05:00:00Z,64.5\n2,2026-03-08T05:15:00Z,57\n'.encode(),
        ),
        _readings,
        text=False,
        by_place=True,
    ),
    "words": Reader(
        (
            b"farm show week --as csv",
            b"write temperature --reading 39.2F --read 'y 1810'",
            b'write pen --name "Far dry" --kind dry',
            b"show today; id && cat /etc/passwd | sh $(id) `id` > x",
        ),
        _words,
        text=False,
    ),
}


def _sentence(error: Refused) -> None:
    said = str(error)
    assert said.strip(), "a refusal without words"
    assert said == plain(said, longest=100_000), f"a refusal that is not harmless text: {said!r}"


def case(reader: Reader, sent: bytes) -> bool:
    """Read one thing; whether it was understood.

    Raises:
        AssertionError: the refusal says nothing, says it with control characters, or names no place.
        Exception: whatever the reader should not have raised.
    """
    try:
        reader.read(sent)
    except Refused as error:
        for fault in error.faults if isinstance(error, SeveralRefused) else [error]:
            _sentence(fault)
            if reader.by_place:
                assert any(word in str(fault) for word in ("line ", "column ", ".csv")), f"where? {fault}"
        return False
    return True


@dataclass
class Tally:
    """What was tried: cases, those understood, wall seconds, and the longest case in processor seconds."""

    cases: int = 0
    understood: int = 0
    took_s: float = 0.0
    longest_s: float = 0.0


def hammer(reader: Reader, *, cases: int, seconds: float, seed: int) -> Tally:
    """Feed mutated seeds until so many cases, or so many seconds, are done."""
    chance, tally, began = random.Random(seed), Tally(), time.monotonic()
    case(reader, reader.seeds[0])  # what is imported late is imported before the clock runs
    while tally.cases < cases and time.monotonic() - began < seconds:
        batch = [mutated(chance.choice(reader.seeds), reader.seeds, chance) for _ in range(min(500, cases))]
        with _not_for_ever(batch):
            for sent in batch:
                before = time.thread_time()
                try:
                    tally.understood += case(reader, sent)
                except Exception as error:
                    error.add_note(f"case {tally.cases}: {sent!r}")
                    raise
                took = time.thread_time() - before
                assert took <= LONGEST_S, f"{took:.1f} s for {sent!r}"
                tally.longest_s = max(tally.longest_s, took)
                tally.cases += 1
    tally.took_s = time.monotonic() - began
    return tally


@contextmanager
def _not_for_ever(batch: list[bytes]) -> Iterator[None]:
    """A case that never ends is ended after a minute, and told."""

    def told(*_: object) -> None:
        raise TimeoutError(f"one of {len(batch)} cases does not end, such as {batch[0]!r}")

    before = signal.signal(signal.SIGALRM, told)
    signal.alarm(60)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def made_up(reader: Reader) -> st.SearchStrategy[bytes]:
    """What hypothesis makes for a reader: anything at all, and strings of its tokens and pieces of its seeds."""
    pieces = sorted({piece for seed in reader.seeds for piece in _pieces(seed)} | set(TOKENS))
    anything = st.text(max_size=60).map(lambda text: text.encode("utf-8", "surrogatepass"))
    strung = st.lists(st.sampled_from(pieces), max_size=14).map(b"".join)
    return (
        st.one_of(anything, strung) if reader.text else st.one_of(st.binary(max_size=200), anything, strung)
    )


def _pieces(seed: bytes) -> Iterator[bytes]:
    yield seed
    yield from seed.replace(b",", b"\n").replace(b" ", b"\n").split(b"\n")


BIG_BYTES = 10_000_000
MOST_MB = 200
BIG: Mapping[str, Callable[[bytes], bytes]] = {
    "its first seed over and over": lambda seed: seed * (BIG_BYTES // len(seed)),
    "one row over and over": lambda seed: (
        (head := seed.partition(b"\n"))[0]
        + b"\n"
        + (row := (head[2].partition(b"\n")[0] or seed) + b"\n") * ((BIG_BYTES - len(seed)) // len(row))
    ),
    "four hundred columns of one digit": lambda seed: (
        seed.partition(b"\n")[0]
        + b"".join(b",x%d" % number for number in range(390))
        + (b"\n" + b"1," * 395 + b"1") * (BIG_BYTES // 792)
    )[:BIG_BYTES],
    "as many rows as may be": lambda seed: (
        (head := seed.partition(b"\n"))[0]
        + b"\n"
        + b"".join(b"%d" % number + head[2].partition(b"\n")[0] + b"\n" for number in range(19_000))
    ),
    "an open quote": lambda seed: seed + b'"' + b"a," * (BIG_BYTES // 2 - len(seed)),
    "quotes": lambda seed: seed + b'"' * (BIG_BYTES - len(seed)),
    "line ends": lambda seed: seed + b"\r\n" * (BIG_BYTES // 2 - len(seed)),
    "digits": lambda seed: seed + b"9" * (BIG_BYTES - len(seed)),
    "one long line": lambda seed: seed.replace(b"\n", b" ") * (BIG_BYTES // len(seed)),
    "bytes that are no letters": lambda seed: seed + b"\xff\xc3" * (BIG_BYTES // 2 - len(seed)),
    "half of a sign, in sixteen bits": lambda seed: b"\xff\xfe" + b"\x00\xd8a\x00" * (BIG_BYTES // 4 - 1),
}
"""Ten million bytes, each kind made from a seed."""


def peak_MB(name: str, kind: str) -> float:
    """The most memory that this program ever held, after a reader was given ten million bytes; megabytes.

    Call it in a program of its own: what was held before counts too.
    """
    reader = READERS[name]
    sent = BIG[kind](reader.seeds[0])
    assert len(sent) <= BIG_BYTES
    case(reader, sent)
    # not what getrusage tells: that counts the program this one was started from
    told = Path("/proc/self/status").read_text()
    return next(int(line.split()[1]) for line in told.splitlines() if line.startswith("VmHWM")) / 1024

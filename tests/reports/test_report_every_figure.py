"""Every figure of every report on a book with a bit of everything: it has a rule, and stands on the entries it names.

Each entry in turn is struck (in a look of its own that is thrown away), all reports are made again, and held against
what they were: what an entry is said to be under must change with it, and what changes must have said so.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from herdbook.errors import HerdbookError
from herdbook.reports.catalogue import ground_for_reading, make
from herdbook.reports.figures import Figure
from tests.reports.byre import at, feed, milk, mix
from tests.yard import Yard

SAT, SUN, MON, TUE, WED = "2026-02-28", "2026-03-01", "2026-03-02", "2026-03-03", "2026-03-04"
ASKED: tuple[tuple[str, dict[str, str]], ...] = (
    ("today", {}),
    ("ration", {"name": "Milk"}),
    ("intake", {"days": "5"}),
    ("loads", {"of": MON}),
    ("loads", {"of": WED}),
    ("tank", {"name": "Tank"}),
    ("tank", {"name": "Small"}),
    ("pickups", {}),
    ("week", {}),
    ("pens", {}),
    ("feeds", {}),
)
NAMES_A_THING = {"start", "farm", "person", "pen", "feed", "tank", "mixer"}
"""What gives a thing its name is under every row of it, and is not listed under each figure."""

Address = tuple[int, tuple[str, ...]]
ADVICE = ("due", "exceptions", "alerts")
"""What is due or worth a look is found by looking at much that is not wrong: only what it is about is named."""


FORESEEN = {
    "expected_at",
    "expected_from_at",
    "expected_until_at",
    "late_percent",
    "heat_kW",
    "usual_heat_kW",
}
"""A forecast rests on all of the tank's last milkings: only its own milking and its readings are named."""


def fill(yard: Yard) -> None:
    """Five days: loads on and off their plan, refusals kept and re-fed, milkings in time and late, pickups."""
    at(yard, f"{SAT} 05:00").do("feed", name="Salt", kind="mineral", most="1")
    yard.do("analysis", feed="Salt", dry="97", value=["ca=0.5", "cp=1"], sampled="2026-02-01")
    yard.do("analysis", feed="Salt", dry="99", value="ca=1")
    yard.do(
        "analysis",
        feed="Silage",
        dry="41",
        value=["cp=9", "ndf=44", "ca=0.3", "starch=30"],
        sampled="2026-02-01",
    )
    yard.do(
        "analysis",
        feed="Grain",
        dry="82",
        value=["cp=22", "ndf=11", "ca=0.1", "starch=50"],
        sampled="2026-02-01",
    )
    yard.do("targets", ration="Milk", target=["cp=12 13 14", "dm_intake=15 16 17", "starch=24 - -"])
    yard.do("tank", name="Small", holds="4000", mark=["10 cm=1000", "40 cm=4000"])
    for day, after in ((SAT, SUN), (SUN, MON), (MON, TUE), (TUE, WED)):
        feed(yard, f"{day} 06:00", "High", silage=3000, grain=530 if day == MON else 500)
        feed(yard, f"{day} 06:30", "Low", silage=1500, grain=250)
        at(yard, f"{day} 15:00").do("head", pen="Low", head=str(50 + int(day[-1]) % 3))
        yard.do("head", pen="High", head=str(100 + int(day[-1])))
        milk(yard, f"{day} 05:00", f"{day} 07:00", milk="1700", cows="150", tank="Tank")
        for time, degrees in (
            ("07:20", "12 C"),
            ("08:20", "8 C"),
            ("08:55", "6.4 C" if day != MON else "7.9 C"),
        ):
            at(yard, f"{day} {time}").do("temperature", tank="Tank", reading=degrees)
        at(yard, f"{day} 09:30").do("temperature", tank="Tank", reading="4.2 C")
        milk(yard, f"{day} 17:00", f"{day} 19:00", milk="1500", tank="Tank")
        if day in (SUN, TUE):
            at(yard, f"{day} 20:00").do("pickup", tank="Tank", weight="6450", ticket=f"T{day[-2:]}")
        at(yard, f"{after} 05:00").do("refusal", pen="High", weight="1700" if day == TUE else "100")
        low = {"dry": "50"} if day == SUN else {"went": "re-fed", "to": "Young"} if day == MON else {}
        yard.do("refusal", pen="Low", weight="60", **low)
    at(yard, f"{TUE} 20:30").do(
        "milking", tank="Small", started=f"{TUE} 16:00", ended=f"{TUE} 17:00", milk="900"
    )
    yard.do("pickup", tank="Small", stick="12 cm", weight="1180", emptied="no")
    at(yard, f"{WED} 05:10").do("refusal", pen="Young", weight="10", fed=TUE)
    yard.do("dry-matter", feed="Silage", dry="38")
    yard.do("ration", name="Milk", item=["Silage=28", "Grain=4.4 kg dm", "Salt=0.1"])
    yard.do("price", feed="Grain", price="210")
    milk(yard, f"{WED} 05:00", f"{WED} 06:00", milk="1700", tank="Tank")
    for time, degrees in (("06:15", "16 C"), ("06:30", "14.8 C"), ("06:45", "14.1 C")):
        at(yard, f"{WED} {time}").do("temperature", tank="Tank", reading=degrees)
    number = mix(yard, f"{WED} 06:50", "High", silage=2900, grain=500)
    yard.do("drop", load=number, pen="High", weight="3000")
    yard.do("load", pen="Low", planned=["Silage=1500", "Grain=250"], loaded="Silage=1500")
    wrong = yard.do("weigh", load="2", feed="Grain", weight="300").entry
    yard.do("weigh", corrects=wrong, load="2", feed="Grain", weight="260")
    yard.do("weigh", load="2", feed="Salt", weight="5")


@pytest.fixture(scope="module")
def rich(byre_book: Path, tmp_path_factory: pytest.TempPathFactory) -> Yard:
    path = tmp_path_factory.mktemp("rich") / "farm.book"
    shutil.copyfile(byre_book, path)
    yard = Yard(path)
    fill(yard)
    return yard


@pytest.fixture(scope="module")
def book(rich: Yard) -> Iterator[sqlite3.Connection]:
    """The book open for looks that are thrown away."""
    rich.book.close()
    with closing(sqlite3.connect(rich.path, isolation_level=None)) as connection:
        yield connection


def all_figures(connection: Any, now_s: int) -> dict[Address, Figure]:
    """Every figure of every report by where it stands; a report that cannot be made any more has none."""
    found: dict[Address, Figure] = {}
    ground = ground_for_reading(connection, now_s)
    for place, (name, texts) in enumerate(ASKED):
        try:
            report = make(name, connection, ground, texts)
        except HerdbookError:
            continue
        found |= {(place, (key,)): figure for key, figure in report.facts.items()}
        for table in report.tables:
            for line in table.lines:
                found |= {(place, (table.key, line.name, key)): its for key, its in line.cells.items()}
    return found


def without(connection: sqlite3.Connection, number: int, now_s: int) -> dict[Address, Figure]:
    """Every figure as it would be had that entry been struck."""
    connection.execute("BEGIN")
    connection.execute("PRAGMA defer_foreign_keys = ON")
    connection.execute("UPDATE entry SET struck_by = ? WHERE number = ?", (10**9, number))
    try:
        return all_figures(connection, now_s)
    finally:
        connection.execute("ROLLBACK")


@pytest.fixture(scope="module")
def before(book: sqlite3.Connection, rich: Yard) -> dict[Address, Figure]:
    return all_figures(book, rich.now_s)


@pytest.fixture(scope="module")
def struck(book: sqlite3.Connection, rich: Yard) -> Mapping[int, dict[Address, Figure]]:
    """Entry -> every figure without it, for all that is not what names a thing."""
    rows = book.execute("SELECT number, chore FROM entry WHERE struck_by IS NULL").fetchall()
    return {number: without(book, number, rich.now_s) for number, chore in rows if chore not in NAMES_A_THING}


def in_words(address: Address) -> str:
    place, parts = address
    return f"{ASKED[place][0]} {' / '.join(parts)}"


def is_the_same(one: Figure | None, other: Figure) -> bool:
    return one is not None and (
        (one.value, one.missing, one.flag, one.rule, dict(one.inputs))
        == (other.value, other.missing, other.flag, other.rule, dict(other.inputs))
    )


def test_the_book_is_rich_enough_to_be_asked(before: dict[Address, Figure]) -> None:
    assert len(before) > 500
    assert {ASKED[place][0] for place, _ in before} == {name for name, _ in ASKED}
    words = {figure.says for figure in before.values()}
    assert {"too slow", "low", "over", "not in the plan"} <= words


def test_every_figure_has_a_rule_and_a_flag_has_a_word(before: dict[Address, Figure]) -> None:
    for address, figure in before.items():
        assert figure.rule, in_words(address)
        assert figure.flag in ("", "?", "!", "!!"), in_words(address)


def test_what_has_no_value_has_no_number(before: dict[Address, Figure]) -> None:
    for address, figure in before.items():
        assert figure.value is not None or figure.number is None, in_words(address)


def test_the_entries_under_a_figure_stand_in_the_book_and_come_once(
    before: dict[Address, Figure], book: sqlite3.Connection
) -> None:
    standing = {number for (number,) in book.execute("SELECT number FROM entry WHERE struck_by IS NULL")}
    for address, figure in before.items():
        numbers = list(figure.entries())
        assert len(numbers) == len(set(numbers)), in_words(address)
        assert set(numbers) <= standing, in_words(address)


def is_advice(address: Address) -> bool:
    return any(part in ADVICE for part in address[1])


def test_a_number_that_is_not_nothing_stands_on_entries(before: dict[Address, Figure]) -> None:
    bare = [
        in_words(address)
        for address, figure in before.items()
        if figure.number and not figure.entries() and not is_advice(address)
    ]
    assert bare == []


def test_striking_what_is_under_a_number_changes_it_or_what_is_said_of_it(
    before: dict[Address, Figure], struck: Mapping[int, dict[Address, Figure]]
) -> None:
    idle = []
    for address, figure in before.items():
        if not figure.number or is_advice(address) or address[1][-1] == "complete_days":
            continue  # a day stays complete on the head count before
        under = [number for number in figure.entries() if number in struck]
        still = [number for number in under if is_the_same(struck[number].get(address), figure)]
        # a feed set as dry matter does not change with its dry matter, nor its cost where it was set as fed:
        # of what a ration rests on, something has to
        allowed = len(under) - 1 if ASKED[address[0]][0] == "ration" else 0
        if len(still) > max(allowed, 0):
            idle += [f"{number}: {in_words(address)}" for number in still]
    assert idle == []


def test_what_changes_a_number_is_under_it(
    before: dict[Address, Figure], struck: Mapping[int, dict[Address, Figure]]
) -> None:
    untold = []
    for number, after in struck.items():
        for address, figure in before.items():
            other = after.get(address)
            if figure.number is None or other is None or number in figure.entries() or is_advice(address):
                continue
            if address[1][-1] in FORESEEN:
                continue
            if address[1][-1] == "warmest_degC":
                continue  # the milking after it ends its time; the reading and its own milking are named
            if other.number is None or abs(other.number - figure.number) > 1e-9 * abs(figure.number):
                untold.append(f"{number}: {in_words(address)}")
    assert untold == []

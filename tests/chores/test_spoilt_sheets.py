"""Fifty spoilt files of analyses and of rations: each is refused in a sentence that names the line and the column."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from herdbook.book.opening import reading
from herdbook.chores import import_analyses, import_ration
from herdbook.chores.ground import Ground
from herdbook.chores.sheets import sheet_of
from herdbook.errors import Refused, SeveralRefused
from herdbook.reports.catalogue import ground_for_reading
from tests.yard import TEN_O_CLOCK

A = "feed,number,sampled,dry,cp,ca (%)\n"
ROW = "Corn silage,A-1,2026-03-02,34,8.8,0.3\n"
ANALYSES = [
    # headings
    ("feed,dry,proteine x\nCorn silage,34,8\n", "line 1, column proteine x"),
    ("# from March\n\nfeed,dry,zz\nCorn silage,34,8\n", "line 3, column zz"),
    ("dry,cp\n34,8\n", "line 1, column feed"),
    ("feed,cp\nCorn silage,8\n", "line 1, column dry matter"),
    ("feed,dry,ca (lb)\nCorn silage,34,1\n", "line 1, column ca (lb)"),
    ("feed,dry,cp,CP (%)\nCorn silage,34,8,8\n", "line 1, column CP (%)"),
    ("feed,dry,cp,cp\nCorn silage,34,8,8\n", "line 1: the column 'cp'"),
    # cells
    (A + ROW.replace("Corn silage", "Corn silagee"), "line 2, column feed, 'Corn silagee'"),
    (A + ROW.replace("Corn silage", ""), "line 2, column feed"),
    (A + ROW + ROW.replace("A-1", "A-2").replace("2026-03-02", "2026-02-30"), "line 3, column sampled, '2026-02-30'"),
    (A + ROW.replace("2026-03-02", "2031-03-02"), "line 2, column sampled, '2031-03-02'"),
    (A + ROW.replace("2026-03-02", "March"), "line 2, column sampled, 'March'"),
    (A + ROW.replace("34", "x"), "line 2, column dry, 'x'"),
    (A + ROW.replace("34", "-34"), "line 2, column dry, '-34'"),
    (A + ROW.replace("34", "134"), "line 2, column dry, '134'"),
    (A + ROW.replace("34", ""), "line 2, column dry"),
    (A + ROW.replace("8.8", "eight"), "line 2, column cp, 'eight'"),
    (A + ROW.replace("8.8", "1/0"), "line 2, column cp, '1/0'"),
    (A + ROW.replace("8.8", "-8.8"), "line 2, column cp, '-8.8'"),
    (A + ROW.replace("8.8", "8.8 lb"), "line 2, column cp, '8.8 lb'"),
    (A + ROW.replace("8.8", "8.8 8.9"), "line 2, column cp, '8.8 8.9'"),
    (A + "\n# remark\n" + ROW.replace("0.3", "?"), "line 4, column ca (%), '?'"),
    ("feed,dry,moisture,cp\nCorn silage,,140,8\n", "line 2, column moisture, '140'"),
    ("feed,dry,basis,cp\nCorn silage,34,wet,8\n", "line 2, column basis, 'wet'"),
    ("feed,dry,ca,ca method\nCorn silage,34,0.3,by eye\n", "line 2, column ca method, 'by eye'"),
    ("feed;dry;cp\nCorn silage;33.3;8,25\n", "line 2, column cp, '8,25'"),
]  # fmt: skip
R = "feed,amount,unit,basis\n"
LINE = "Corn silage,17.3,lb,dry matter\n"
RATIONS = [
    # headings
    ("feed,amount,price\nCorn silage,5 lb,3\n", "line 1, column price"),
    ("# a diet\nfeed,amount,cows\nCorn silage,5 lb,3\n", "line 2, column cows"),
    ("feed,unit\nCorn silage,lb\n", "line 1, column amount"),
    ("amount,unit\n5,lb\n", "line 1, column feed"),
    ("feed,amount,Amount\nCorn silage,5 lb,6 lb\n", "line 1: the column 'amount'"),
    # cells
    (R + LINE.replace("Corn silage", "Maize"), "line 2, column feed, 'Maize'"),
    (R + LINE + "Minerals,1,lb,as fed\n", "line 3, column feed, 'Minerals'"),
    (R + LINE + "Corn,1,lb,as fed\n", "line 3, column feed, 'Corn'"),
    (R + ",17.3,lb,as fed\n", "line 2, column feed"),
    (R + "Corn silage,,lb,as fed\n", "line 2, column amount"),
    (R + LINE.replace("17.3", "x"), "line 2, column amount, 'x'"),
    (R + LINE.replace("17.3", "-17.3"), "line 2, column amount, '-17.3'"),
    (R + LINE.replace("17.3", "0"), "line 2, column amount, '0'"),
    (R + LINE.replace("17.3", "1/0"), "line 2, column amount, '1/0'"),
    (R + LINE.replace("17.3", "17.3.1"), "line 2, column amount, '17.3.1'"),
    (R + LINE.replace("17.3", "9" * 40), "line 2, column amount, '999"),
    (R + LINE.replace("lb", "F"), "line 2, column amount, '17.3'"),
    (R + LINE.replace("lb", "furlong"), "line 2, column amount, '17.3'"),
    (R + LINE.replace("dry matter", "wet"), "line 2, column basis, 'wet'"),
    (R + "\n\n" + LINE.replace("17.3,lb,dry matter", "17.3 lb dm,,as fed"), "line 4, column basis, 'as fed'"),
    (R + LINE.replace("17.3,lb", "60,%"), "line 2, column amount, '60'"),
    (R + LINE.replace("17.3", "nd"), "line 2, column amount, 'nd'"),
    (R + LINE.replace("17.3", "\x1b[31mred"), "line 2, column amount, 'red'"),
    (R + "Corn silage,17.3,lb,dry matter,extra\n", "line 2: 'extra' stands beyond the last column"),
]  # fmt: skip


@pytest.fixture(scope="module")
def book(template_book: Path) -> Iterator[tuple[Any, Ground]]:
    """One look at the book for all files; nothing is written."""
    with reading(template_book) as connection:
        yield connection, ground_for_reading(connection, TEN_O_CLOCK)


def said(error: Refused) -> list[str]:
    return [str(fault) for fault in (error.faults if isinstance(error, SeveralRefused) else [error])]


def see(faults: list[str], where: str) -> None:
    assert len(faults) == 1, faults  # one thing is wrong, and nothing else is said
    assert faults[0].startswith(where), faults[0]
    assert faults[0].endswith((".", "?"))
    assert "\x1b" not in faults[0]


@pytest.mark.parametrize(("content", "where"), ANALYSES, ids=[where for _, where in ANALYSES])
def test_a_spoilt_file_of_analyses_is_refused_by_line_and_column(
    book: tuple[Any, Ground], content: str, where: str
) -> None:
    connection, ground = book
    with pytest.raises(Refused) as refused:
        import_analyses.read_analyses(
            sheet_of(content.encode(), "lab.csv", import_analyses.is_known_heading), connection, ground
        )
    see(said(refused.value), where)


@pytest.mark.parametrize(("content", "where"), RATIONS, ids=[where for _, where in RATIONS])
def test_a_spoilt_file_of_a_ration_is_refused_by_line_and_column(
    book: tuple[Any, Ground], content: str, where: str
) -> None:
    with pytest.raises(Refused) as refused:
        import_ration.read_ration(
            sheet_of(content.encode(), "diet.csv", import_ration.is_known_heading), book[1]
        )
    see(said(refused.value), where)


def test_they_are_fifty_and_what_they_are_spoilt_from_is_read(book: tuple[Any, Ground]) -> None:
    connection, ground = book
    assert len({content for content, _ in (*ANALYSES, *RATIONS)}) == 50
    sheet = sheet_of((A + ROW).encode(), "lab.csv", import_analyses.is_known_heading)
    assert len(import_analyses.read_analyses(sheet, connection, ground).rows) == 1
    sheet = sheet_of((R + LINE).encode(), "diet.csv", import_ration.is_known_heading)
    assert len(import_ration.read_ration(sheet, ground).items) == 1

"""Reports for other programs: JSON and CSV that lose nothing, invent nothing, and that no spreadsheet runs."""

from __future__ import annotations

import csv
import io
import json
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.chores.ground import Ground
from herdbook.clock import FarmClock
from herdbook.reports.exporting import as_json, csv_rows, csv_text, facts_rows, harmless, json_text
from herdbook.reports.figures import Column, Figure, Line, Report, Table
from herdbook.units import FarmUnits

NOON = 1_773_075_600  # 2026-03-09 17:00 UTC, noon in Chicago
GROUND = Ground(FarmUnits("us"), FarmClock("America/Chicago"), NOON)
COLUMNS = (
    Column("pen", "Pen"),
    Column("read_at", "Read", "time"),
    Column("day", "Day", "day"),
    Column("held_kg", "Held", "kg"),
    Column("cold", "Cold"),
)


def table(**cells: Figure) -> Table:
    return Table("pens", "Pens", COLUMNS, (Line("High", cells),))


def report(**cells: Figure) -> Report:
    return Report(
        "r", "R", {"held_kg": Figure(1.5, "kg")}, {"held_kg": COLUMNS[3]}, (table(**cells),), ("Look.",)
    )


def row_of(**cells: Figure) -> dict[str, Any]:
    made = json.loads(json_text(as_json(report(**cells), GROUND)))
    row: dict[str, Any] = made["tables"]["pens"][0]
    return row


def test_an_instant_has_the_farms_offset_and_a_day_is_a_day() -> None:
    row = row_of(read_at=Figure(NOON, "time"), day=Figure("2026-03-09", "day"))
    assert row["read_at"] == "2026-03-09T12:00:00-05:00"
    assert row["day"] == "2026-03-09"


def test_an_instant_is_known_by_its_column_too() -> None:
    assert row_of(read_at=Figure(NOON))["read_at"] == "2026-03-09T12:00:00-05:00"


def test_it_stays_metric_on_a_farm_that_reads_pounds() -> None:
    assert row_of(held_kg=Figure(1234.5, "kg"))["held_kg"] == 1234.5


def test_nothing_is_null_and_never_zero() -> None:
    row = row_of(pen=Figure("High"))
    assert row["held_kg"] is None
    assert "held_kg" in row


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_null(value: float) -> None:
    assert row_of(held_kg=Figure(value, "kg"))["held_kg"] is None


def test_the_noise_of_binary_fractions_is_left_behind() -> None:
    assert json_text(as_json(report(held_kg=Figure(0.1 + 0.2, "kg")), GROUND)).count("0.3,") == 1


def test_what_is_flagged_or_missing_is_told_beside_and_only_then() -> None:
    row = row_of(held_kg=Figure(8.0, "kg", flag="!", says="low", missing=("no refusal",)), pen=Figure("High"))
    assert row["flags"] == {"held_kg": "low"}
    assert row["missing"] == {"held_kg": ["no refusal"]}
    assert {"flags", "missing"}.isdisjoint(row_of(pen=Figure("High")))


def test_yes_and_no_are_true_and_false() -> None:
    assert row_of(cold=Figure(True))["cold"] is True


def test_whose_farm_it_is_stands_in_it() -> None:
    made = as_json(report(), GROUND, farm={"name": "Hollow", "key": "k", "invented": True})
    assert made["farm"] == {"name": "Hollow", "key": "k", "invented": True}
    assert list(made) == ["report", "title", "at", "farm", "facts", "tables", "warnings"]
    assert made["warnings"] == ["Look."]


HOSTILE = "\x1b]52;c;x\x07High\u202e"


def test_text_is_made_harmless_again_on_its_way_out() -> None:
    bad = Report("r", HOSTILE, tables=(table(pen=Figure(HOSTILE)),), warnings=(HOSTILE,))
    text = json_text(as_json(bad, GROUND))
    assert "\\u001b" not in text
    assert "\u202e" not in text
    assert text.count('"High"') >= 4


# CSV


def csv_of(made: Table) -> list[list[str]]:
    return list(csv.reader(io.StringIO(csv_text(csv_rows(made, GROUND)))))


def test_the_heading_is_the_keys_and_the_name_comes_first() -> None:
    heading, row = csv_of(table(pen=Figure("High"), held_kg=Figure(12.5, "kg"), cold=Figure(False)))
    assert heading == ["name", "pen", "read_at", "day", "held_kg", "cold"]
    assert row == ["High", "High", "", "", "12.5", "no"]


def test_a_column_called_name_is_not_doubled() -> None:
    made = Table("t", "T", (Column("name", "Name"),), (Line("1", {"name": Figure("Ada")}),))
    assert csv_of(made) == [["name"], ["Ada"]]


# OWASP, "CSV Injection": cells that begin so are run by spreadsheets
@pytest.mark.parametrize(
    "text",
    ["=1+1", "+1", "-1", "@SUM(A1)", "=cmd|' /C calc'!A0", "＝1", "＋1", "－1", "＠x", "-", "=", "+44 123"],
)
def test_a_text_that_would_run_gets_an_apostrophe(text: str) -> None:
    assert csv_of(table(pen=Figure(text)))[1][1] == f"'{text}"


def test_a_tab_before_a_formula_is_gone_before_it_is_looked_at() -> None:
    assert csv_of(table(pen=Figure("\t=1+1")))[1][1] == "'=1+1"
    assert csv_of(table(pen=Figure("\r=1+1")))[1][1] == "'=1+1"
    assert csv_of(table(pen=Figure("\u200b=1+1")))[1][1] == "'=1+1"


def test_the_name_of_a_row_would_not_run_either() -> None:
    made = Table("t", "T", COLUMNS, (Line("=1+1", {}),))
    assert csv_of(made)[1][0] == "'=1+1"


def test_a_number_below_zero_stays_a_number() -> None:
    assert csv_of(table(held_kg=Figure(-3.5, "kg")))[1][4] == "-3.5"


@given(st.text(max_size=40))
def test_no_text_cell_ever_begins_a_formula(text: str) -> None:
    cell = csv_of(table(pen=Figure(text)))[1][1]
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


@given(st.text(max_size=40))
def test_what_is_harmless_is_not_touched(text: str) -> None:
    made = harmless(text)
    assert made in (text, f"'{text}")
    assert harmless(made) == made


@given(st.lists(st.text(alphabet="a\",;\n'=|", max_size=12), min_size=1, max_size=5))
def test_any_text_comes_back_from_csv_as_one_cell(names: list[str]) -> None:
    made = Table("t", "T", (Column("pen", "Pen"),), tuple(Line("x", {"pen": Figure(name)}) for name in names))
    assert all(len(row) == 2 for row in csv_of(made))


def test_a_report_without_tables_gives_its_facts() -> None:
    rows = list(facts_rows(Report("r", "R", {"held_kg": Figure(1.5, "kg")}, {"held_kg": COLUMNS[3]}), GROUND))
    assert rows == [["name", "value"], ["held_kg", 1.5]]

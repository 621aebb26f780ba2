"""`herdbook import readings`: shown as understood, whole or not at all, overlap passed by, a profile kept."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest

from herdbook.chores.logger_layouts import DELIMITERS
from herdbook.cli.import_readings import WORDS
from tests.book import reference_chain
from tests.cli.conftest import Answer, Keyboard

GOOD = "Time,Milk (F)\n2026-03-09 06:00,98.0\n2026-03-09 07:00,60.5\n2026-03-09 08:30,39.9\n"


@pytest.fixture
def load(keyboard: Keyboard, tmp_path: Path) -> Any:
    """Save a text as a file and import it."""

    def do(content: str, *options: str, name: str = "north.csv") -> Answer:
        path = tmp_path / name
        path.write_text(content)
        return keyboard("import", "readings", str(path), *options)

    return do


def kept(keyboard: Keyboard) -> list[int]:
    rows = keyboard.yard.rows("SELECT reading.tank_mC AS mc FROM reading ORDER BY read_at")
    return [row["mc"] for row in rows]


def test_the_words_of_the_options_are_those_of_the_reader() -> None:
    assert set(WORDS["delimiter"]) == set(DELIMITERS)


def test_a_file_is_shown_as_understood_and_written_when_told(keyboard: Keyboard, load: Any) -> None:
    shown = load(GOOD, "--preview")
    assert shown.status == 0
    for said in (
        "parted by comma",
        "time in column 'Time'",
        "America/Chicago (the farm's",
        "°F (by its heading)",
        "3 readings, 2026-03-09T06:00:00-05:00 98.0 °F",
        "new 3, known already 0",
        "nothing was written",
    ):
        assert said in shown.out
    assert load(GOOD).status == 1  # no terminal, and --yes was not given
    assert kept(keyboard) == []
    written = load(GOOD, "--yes", "--tank", "nor")
    assert written.status == 0
    assert (
        "North, logger: 3 readings, 2026-03-09 06:00 to 2026-03-09 08:30, 39.9 °F to 98.0 °F." in written.out
    )
    assert kept(keyboard) == [36_667, 15_833, 4_389]
    assert reference_chain.faults(keyboard.path) == []


def test_a_file_that_grew_adds_what_is_new_and_the_same_file_nothing(keyboard: Keyboard, load: Any) -> None:
    load(GOOD, "--yes")
    entries = keyboard.yard.entries
    again = load(GOOD, "--yes", "--as", "json")
    assert (again.status, again.json["again"], again.json["entry"]) == (0, True, None)
    assert keyboard.yard.entries == entries
    grown = load(GOOD + "2026-03-09 09:00,38.0\n2026-03-09 09:3", "--yes")
    assert "new 1, known already 3" in grown.out
    assert "line 6 has no end yet" in grown.out
    assert kept(keyboard)[-1] == 3_333


def test_one_row_that_cannot_be_keeps_all_out_unless_it_is_left_out(keyboard: Keyboard, load: Any) -> None:
    bad = GOOD + "2026-03-09 08:40,-196.6\n2026-03-09 08:50,warm\n"
    refused = load(bad, "--yes")
    assert refused.status == 2
    assert "north.csv, line 5, column 'Milk (F)'" in refused.err
    assert "line 6, column 'Milk (F)': 'warm' is not a temperature. Give --leave-out" in refused.err
    assert kept(keyboard) == []
    left = load(bad, "--yes", "--leave-out")
    assert left.status == 0
    assert "left out: 2 rows that cannot be, such as line 5" in left.out
    assert len(kept(keyboard)) == 3


def test_a_reading_the_book_has_otherwise_is_told_by_entry(keyboard: Keyboard, load: Any) -> None:
    load(GOOD, "--yes")
    other = GOOD.replace("60.5", "61.5") + "2026-03-09 09:00,38.0\n"
    refused = load(other, "--yes")
    assert refused.status == 2
    assert (
        f"07:00:00-05:00 61.5 °F, but the book has 60.5 °F from entry {keyboard.yard.entries}" in refused.err
    )
    assert load(other, "--yes", "--leave-out").status == 0
    assert kept(keyboard) == [36_667, 15_833, 4_389, 3_333]


def test_what_cannot_be_told_is_asked_for_and_given(keyboard: Keyboard, load: Any) -> None:
    plain = "02/03/2026 06:00;38,1\n02/03/2026 07:00;36,2\n"
    assert "Give --date-order" in load(plain, "--yes").err
    assert "Give --unit C or --unit F" in load(plain, "--yes", "--date-order", "dmy").err
    told = (
        "--date-order",
        "dmy",
        "--unit",
        "f",
        "--zone=-06:00",
        "--save-profile",
        "recorder",
        "--probe",
        "chart",
    )
    assert load(plain, "--yes", *told).status == 0
    again = load("03/03/2026 06:00;38,3\n", "--yes", "--profile", "Recorder")
    assert again.status == 0
    assert "Files of recorder" not in again.out
    assert [row["probe"] for row in keyboard.yard.rows("SELECT probe FROM reading_batch")] == [
        "chart",
        "chart",
    ]
    last = keyboard.yard.row("SELECT max(read_at) AS at FROM reading")["at"]
    assert last == 1_772_539_200  # 2026-03-03 12:00 UTC


def test_a_request_made_twice_writes_once(keyboard: Keyboard, load: Any) -> None:
    first = load(GOOD, "--yes", "--request", "k-1", "--as", "json")
    entries = keyboard.yard.entries
    again = load(GOOD, "--yes", "--request", "k-1", "--as", "json")
    assert json.loads(first.out)["entry"] == entries
    assert again.status == 0
    assert keyboard.yard.entries == entries


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--tank", "South"), "South"),
        (("--profile", "none"), "no profile called 'none'"),
        (("--zone", "Mars/Base"), "not a time zone"),
        (("--zone", "+25:00"), "no offset a clock on earth has"),
        (("--time-column", "Uhr"), "no column is called 'Uhr'"),
        (("--temperature-column", "9"), "missing"),
        (("--unit", "K"), "--unit"),
    ],
)
def test_what_is_told_wrongly_is_said(load: Any, words: tuple[str, ...], says: str) -> None:
    answer = load(GOOD, "--yes", *words)
    assert answer.status == 2
    assert says in answer.err


def test_standard_input_is_read_as_a_file_is(
    keyboard: Keyboard, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "laid"))
    (tmp_path / "laid").mkdir()

    def give(content: str, *options: str) -> Answer:
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(content.encode())))
        return keyboard("import", "readings", "-", *options)

    late = "02/03/2026 06:00;38,1\n" * 500 + "13/02/2026 06:00;36,2\n"  # told by a line far down
    assert "line 1: no line holds" in give("nothing\n", "--yes").err
    written = give(late, "--yes", "--unit", "F")
    assert written.status == 0
    assert keyboard.yard.row("SELECT source FROM reading_batch")["source"] == "standard input"
    assert kept(keyboard) == [2_333, 3_389]
    assert "known already 2" in give(late, "--yes", "--unit", "F").out
    assert "it is empty" in give("", "--yes").err
    assert list((tmp_path / "laid").iterdir()) == []


def test_a_file_that_is_not_there_is_said(keyboard: Keyboard) -> None:
    answer = keyboard("import", "readings", "nowhere.csv", "--yes")
    assert answer.status == 2
    assert "no such file" in answer.err

"""Reports by command: tables that fit, JSON, CSV and explanations."""

from __future__ import annotations

import csv
import io
import json
import re
from datetime import UTC, datetime
from fractions import Fraction

import pytest

from herdbook.chores.ground import Ground
from herdbook.cli.printing import print_report
from herdbook.reports.catalogue import SPECS
from herdbook.reports.figures import Column, Figure, Line, Report, Table
from herdbook.units import FarmUnits
from tests.cli.conftest import Keyboard

NAMED = {
    **{name: ["High 1"] for name, spec in SPECS.items() if "name" in spec.needed},
    **{name: ["--pen", "High"] for name, spec in SPECS.items() if "pen" in spec.needed},
    "suggestion": ["High 1", "--without", "cp"],
    **{name: ["Corn silage"] for name, spec in SPECS.items() if "feed" in spec.needed},
    "tank": ["North"],
    "entries": [],
}
OWN_UNIT = {"value", "amount", "low", "aim", "high", "off_by", "head", "heads"} | {
    "before", "after", "change",
    "today", "suggested", "step", "missed_by"
} | {
    "set", "mixed", "dropped", "eaten", "gap", "call", "mixing_error", "delivery_error", "refusal", "spread",
    "needed", "supplied", "supplied_most", "balance", "newest", "before", "mean", "after", "change", "ca_to_p",
}  # fmt: skip
"""Keys of columns whose unit stands in the column beside them, or that have none."""
REPORTS = list(SPECS)


def words_of(name: str) -> list[str]:
    return ["show", name, *NAMED.get(name, [])]


@pytest.mark.parametrize("name", REPORTS)
def test_every_report_is_a_table_within_eighty_columns(keyboard: Keyboard, name: str) -> None:
    answer = keyboard(*words_of(name))
    assert answer.status == 0
    assert max(map(len, answer.out.splitlines())) <= 80
    assert "\x1b" not in answer.out
    assert not [line for line in answer.out.splitlines() if line.endswith(" ")]


@pytest.mark.parametrize("name", REPORTS)
def test_every_report_is_json_with_units_in_its_keys(keyboard: Keyboard, name: str) -> None:
    made = keyboard(*words_of(name), "--as", "json").json
    assert made["report"] == name
    assert datetime.fromisoformat(made["at"]).astimezone(UTC).timestamp() == keyboard.yard.now_s
    assert made["at"].endswith("-05:00")
    assert made["farm"]["name"] == "Hollow Farm"
    for rows in made["tables"].values():
        for row in rows:
            for key, value in row.items():
                if key.endswith("_at") and value is not None:
                    assert datetime.fromisoformat(value).tzinfo is not None
                if isinstance(value, float):
                    assert key in OWN_UNIT or re.search(
                        r"_(kg|degC|percent|cents|mm|h|min|cents_per_t|points|(g|mg|mEq|Mcal|IU)_per_kg|ppb)$",
                        key,
                    )


@pytest.mark.parametrize("name", REPORTS)
def test_every_report_is_csv_of_its_first_table(keyboard: Keyboard, name: str) -> None:
    answer = keyboard(*words_of(name), "--as", "csv")
    made = keyboard(*words_of(name), "--as", "json").json
    heading, *rows = csv.reader(io.StringIO(answer.out))
    (first, expected), *_ = made["tables"].items()
    assert len(rows) == len(expected)
    for row, wanted in zip(rows, expected, strict=True):
        for key, cell in zip(heading, row, strict=True):
            value = wanted[key]
            if isinstance(value, int | float) and not isinstance(value, bool):
                assert Fraction(cell) == Fraction(str(value)), (first, key)


def test_one_table_can_be_asked_for(keyboard: Keyboard) -> None:
    answer = keyboard("show", "ration", "High 1", "--as", "csv", "--table", "figures")
    assert answer.out.startswith("name,figure,value,unit,")
    assert list(keyboard("show", "ration", "High 1", "--table", "feeds", "--as", "json").json["tables"]) == [
        "feeds"
    ]
    wrong = keyboard("show", "ration", "High 1", "--table", "cows")
    assert wrong.status == 2
    assert "has no table called 'cows'. It has feeds, figures." in wrong.err


def test_a_name_of_several_words_needs_no_quotes(keyboard: Keyboard) -> None:
    assert keyboard("show", "ration", "High", "1").out == keyboard("show", "ration", "High 1").out


def test_a_report_that_needs_a_name_says_which_there_are(keyboard: Keyboard) -> None:
    answer = keyboard("show", "ration", "Low")
    assert answer.status == 2
    assert "ration: there is no ration called 'Low'." in answer.err


def test_a_table_is_in_the_farms_units_and_json_is_metric(keyboard: Keyboard) -> None:
    """52 cows at 17.3 lb dry matter of 33.6 %: 51.488... lb a head as fed, 23.354607... kg (0.45359237 kg a lb)."""
    made = keyboard("show", "ration", "High 1", "--as", "json").json
    silage = next(row for row in made["tables"]["feeds"] if row["feed"] == "Corn silage")
    assert silage["as_fed_kg"] == pytest.approx(17.3 * 0.45359237 / 0.336, abs=1e-5)
    assert re.search(r"Corn silage +51\.49 ", keyboard("show", "ration", "High 1").out)
    keyboard("write", "farm", "--system", "metric")
    assert re.search(r"Corn silage +23\.35 ", keyboard("show", "ration", "High 1").out)


def test_a_figure_explains_itself(keyboard: Keyboard) -> None:
    answer = keyboard("explain", "intake", "High", "dropped_kg")
    assert answer.status == 0
    lines = answer.out.splitlines()
    assert lines[0].endswith("High, Dropped: 2,600 lb")
    assert "High got 2,600 lb of load 1" in answer.out
    made = keyboard("explain", "intake", "High", "dropped_kg", "--as", "json").json
    number = keyboard.yard.row("SELECT number FROM entry WHERE chore = 'drop'")["number"]
    assert number in made["entries"]
    # 2,600 lb are 1,179.340162 kg, kept as whole grams
    assert made["value"] == 1179.340


def test_a_single_figure_is_meant_by_its_key_alone(keyboard: Keyboard) -> None:
    answer = keyboard("explain", "ration", "High 1", "dm_kg")
    assert answer.status == 0
    assert answer.out.startswith("Dry matter: ")


def test_where_a_name_may_be_left_out_the_words_are_the_figure(keyboard: Keyboard) -> None:
    assert keyboard("explain", "tank", "held_kg").status == 0
    assert keyboard("explain", "tank", "North", "held_kg").out == keyboard("explain", "tank", "held_kg").out


def test_a_published_rule_is_told_with_its_source(keyboard: Keyboard) -> None:
    from herdbook.reports.explaining import explain

    made = explain("NFC", Figure(38.2, "%", "nfc-by-difference"), Ground(), str)
    text = "\n".join(made.lines())
    assert "Source: " in text
    assert "herdbook reckon nfc-by-difference" in text


def test_an_unknown_figure_is_told_with_those_there_are(keyboard: Keyboard) -> None:
    answer = keyboard("explain", "week", "butter")
    assert answer.status == 2
    assert "This report has no figure 'butter'." in answer.err


MARKUP = "[bold]Barley[/] [@click=app.quit]x[/]"


def test_typed_text_is_never_markup(keyboard: Keyboard) -> None:
    assert keyboard("write", "pen", "--name", MARKUP, "--head", "1").status == 0
    out = keyboard("show", "pens").out
    assert all(part in out for part in MARKUP.split(" [@"))  # the name folds between the two
    assert json.dumps(MARKUP) in keyboard("show", "pens", "--as", "json").out


def wide_report(columns: int) -> Report:
    made = tuple(Column(f"c{number}_kg", f"Weight {number}", "kg", 1) for number in range(columns))
    lines = tuple(
        Line(
            name, {"pen": Figure(name), **{c.key: Figure(1_234_567.8 + n, "kg") for n, c in enumerate(made)}}
        )
        for name in ("High", "Low")
    )
    return Report("wide", "Wide", tables=(Table("t", "T", (Column("pen", "Pen"), *made), lines),))


@pytest.mark.parametrize("columns", [1, 5, 12, 30])
def test_a_number_is_never_cut_however_many_columns(capsys: pytest.CaptureFixture[str], columns: int) -> None:
    print_report(wide_report(columns), Ground(units=FarmUnits("metric")))
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 80
    for number in range(columns):
        assert out.count(f"{1_234_567.8 + number:,.1f}") == 2
    assert "…" not in out


def test_what_stands_beneath_says_whose_it_is(capsys: pytest.CaptureFixture[str]) -> None:
    print_report(wide_report(12), Ground(units=FarmUnits("metric")))
    out = capsys.readouterr().out
    blocks = [block for block in out.split("\n\n") if "1,234," in block]
    assert len(blocks) > 1
    assert all("High" in block and "Low" in block for block in blocks)


def test_words_fold_and_nothing_of_them_is_lost(capsys: pytest.CaptureFixture[str]) -> None:
    note = " ".join(f"word{number}" for number in range(60)) + " " + "x" * 200
    line = Line("1", {"entry": Figure(1), "note": Figure(note), "who": Figure("Ada")})
    table = Table("t", "T", (Column("entry", "Entry"), Column("note", "Note"), Column("who", "Who")), (line,))
    print_report(Report("r", "R", tables=(table,)), Ground())
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 80
    assert all(f"word{number}" in out for number in range(60))
    assert out.count("x") == 200


def test_a_flag_is_told_by_sign_and_word_without_colours(capsys: pytest.CaptureFixture[str]) -> None:
    facts = {"tank_degC": Figure(8.5, "degC", flag="!!", says="too warm")}
    columns = {"tank_degC": Column("tank_degC", "Tank", "degC", 1)}
    print_report(Report("r", "R", facts, columns), Ground())
    assert "!! 47.3 °F too warm" in capsys.readouterr().out

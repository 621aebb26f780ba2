"""Writing by command: options, JSON, corrections, retries and refusals."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from herdbook.chores.doing import chores
from tests.cli.conftest import Keyboard
from tests.yard import Yard


def said(yard: Yard, number: int) -> str:
    return str(yard.row("SELECT said FROM entry WHERE number = ?", number)["said"])


def test_a_chore_is_written_and_said_back(keyboard: Keyboard) -> None:
    before = keyboard.yard.entries
    answer = keyboard("write", "head", "--pen", "high", "--head", "53", "--note", "two dried off")
    assert answer.status == 0
    assert answer.out == f"High: 53 cows, was 52.\nentry {before + 1}\n"
    entry = keyboard.yard.row("SELECT * FROM entry WHERE number = ?", before + 1)
    assert (entry["chore"], entry["note"], entry["person"]) == ("head", "two dried off", 1)


def test_what_was_written_can_be_told_as_json(keyboard: Keyboard) -> None:
    answer = keyboard("write", "head", "--pen", "High", "--head", "53", "--as", "json")
    assert answer.json == {
        "chore": "head",
        "entry": keyboard.yard.entries,
        "said": "High: 53 cows, was 52.",
        "again": False,
    }


def test_every_fault_of_a_form_is_named_on_a_line_of_its_own(keyboard: Keyboard) -> None:
    before = keyboard.yard.state()
    answer = keyboard("write", "temperature", "--reading", "477", "--tank", "South", "--read", "noonish")
    assert answer.status == 2
    assert [line.split(":")[0] for line in answer.err.splitlines()] == ["temperature", "tank", "read"]
    assert keyboard.yard.state() == before


def test_a_field_given_twice_is_refused(keyboard: Keyboard) -> None:
    answer = keyboard("write", "head", "--pen", "High", "--head", "53", "--head", "54")
    assert (answer.status, answer.out) == (2, "")
    assert "head: given 2 times." in answer.err


def test_times_before_now_may_begin_with_a_minus(keyboard: Keyboard) -> None:
    keyboard("write", "head", "--pen", "High", "--head", "53", "--counted", "-15")
    row = keyboard.yard.row("SELECT counted_at FROM head_count ORDER BY id DESC LIMIT 1")
    assert row["counted_at"] == keyboard.yard.now_s - 15 * 60


def test_a_role_that_may_not_is_refused_by_the_book(keyboard: Keyboard) -> None:
    before = keyboard.yard.state()
    answer = keyboard("write", "head", "--pen", "High", "--head", "53", person="Dov")
    assert answer.status == 1
    assert answer.err.startswith("Dov may not write this (a head count). It takes the role")
    assert keyboard.yard.state() == before


@pytest.mark.parametrize("name", [name for name in chores() if name not in ("start", "strike", "farm")])
def test_every_chore_refuses_nothing_at_all(keyboard: Keyboard, name: str) -> None:
    needed = [field for field in chores()[name].draft.asks() if chores()[name].draft.required(field)]
    if not needed:
        pytest.skip("nothing is needed")
    before = keyboard.yard.state()
    answer = keyboard("write", name)
    assert answer.status == 2
    assert answer.err.count("nothing was given.") == len(needed)
    assert keyboard.yard.state() == before


@pytest.mark.parametrize("name", [name for name in chores() if name != "start"])
def test_no_field_hides_an_option_that_every_chore_has(name: str) -> None:
    assert not {"json", "corrects", "note", "request", "as", "form", "help"} & set(
        chores()[name].draft.asks()
    )


def test_a_doubtful_value_is_written_and_asked_about(keyboard: Keyboard) -> None:
    answer = keyboard("write", "temperature", "--reading", "118F")
    assert answer.status == 0
    assert answer.err == (
        f"temperature: 118.0 °F? Usual is 32.0 °F to 104.0 °F. "
        f"It was written; correct it with --corrects {keyboard.yard.entries} if it is wrong.\n"
    )


# corrections


def test_a_correction_keeps_what_is_not_given(keyboard: Keyboard) -> None:
    keyboard(
        "write", "pickup", "--weight", "4300", "--ticket", "A1", "--temperature", "38", "--hauler", "Lou"
    )
    wrong = keyboard.yard.entries
    keyboard.yard.now_s += 3600
    answer = keyboard("write", "pickup", "--corrects", str(wrong), "--weight", "4030")
    assert answer.status == 0
    struck = keyboard.yard.row("SELECT struck_by FROM entry WHERE number = ?", wrong)
    assert struck["struck_by"] == wrong + 1
    rows = keyboard.yard.rows("SELECT * FROM pickup_ticket ORDER BY id")
    old, new = rows[-2:]
    kept = ("tank", "tank_mC", "ticket", "hauler", "pickup")
    assert [new[name] for name in kept] == [old[name] for name in kept]
    # 4,030 lb of 453.59237 g are 1,827,977.2511 g
    assert new["milk_g"] == 1_827_977


def test_a_corrected_field_typed_empty_goes_back_to_nothing(keyboard: Keyboard) -> None:
    keyboard("write", "pickup", "--weight", "4300", "--ticket", "A1", "--hauler", "Lou")
    keyboard("write", "pickup", "--corrects", str(keyboard.yard.entries), "--hauler", "", "--ticket", "A2")
    row = keyboard.yard.row("SELECT hauler, ticket FROM pickup_ticket ORDER BY id DESC LIMIT 1")
    assert row == {"hauler": "", "ticket": "A2"}


def test_a_correction_keeps_the_lines_of_a_repeated_field(keyboard: Keyboard) -> None:
    wrong = keyboard.yard.row("SELECT number FROM entry WHERE chore = 'ration'")["number"]
    answer = keyboard("write", "ration", "--corrects", str(wrong), "--since", "-1")
    assert answer.status == 0
    items = keyboard.yard.rows("SELECT basis, mg FROM ration_item ORDER BY id")
    assert items[:2] == items[2:]
    assert items[2]["basis"] == "dry matter"


@pytest.mark.parametrize(
    ("number", "status", "says"),
    [
        ("999", 1, "There is no entry 999."),
        ("1", 1, "Entry 1 is of another kind (start). Write what is right instead."),
        (
            "2",
            1,
            "Entry 2 is of another kind (person). Correct it with `herdbook write person --corrects 2`.",
        ),
        ("-1", 2, "-1 is not in the range"),
        ("99999999999999999999999", 2, "is not in the range"),
        ("x", 2, "'x' is not a valid integer"),
    ],
)
def test_what_cannot_be_corrected_is_told(keyboard: Keyboard, number: str, status: int, says: str) -> None:
    before = keyboard.yard.state()
    answer = keyboard("write", "head", "--corrects", number, "--head", "51")
    assert answer.status == status
    assert says in answer.err
    assert keyboard.yard.state() == before


def test_a_struck_entry_is_corrected_no_more(keyboard: Keyboard) -> None:
    keyboard("write", "head", "--pen", "High", "--head", "53")
    first = keyboard.yard.entries
    keyboard("write", "head", "--corrects", str(first), "--head", "54")
    answer = keyboard("write", "head", "--corrects", str(first), "--head", "55")
    assert answer.status == 1
    assert f"Entry {first} was struck by entry {first + 1}." in answer.err


def test_a_correction_names_every_wrong_field(keyboard: Keyboard) -> None:
    keyboard("write", "head", "--pen", "High", "--head", "53")
    answer = keyboard(
        "write",
        "head",
        "--corrects",
        str(keyboard.yard.entries),
        "--json",
        "-",
        stdin='{"hed": 3, "head": 1}',
    )
    assert answer.status == 2
    assert "There is no field called 'hed'. Did you mean head?" in answer.err


def test_settings_that_are_not_given_stay(keyboard: Keyboard) -> None:
    keyboard("write", "farm", "--currency", "€", "--day-start", "240")
    keyboard("write", "farm", "--cooling-rule", "as-1187")
    keyboard("write", "farm", "--decimal", ",")
    row = keyboard.yard.row("SELECT * FROM farm_card ORDER BY id DESC LIMIT 1")
    assert (row["name"], row["zone"], row["currency"], row["day_start_min"], row["decimal"]) == (
        "Hollow Farm",
        "America/Chicago",
        "€",
        240,
        ",",
    )
    assert keyboard("show", "tank", "--as", "json").out.count("AS 1187") >= 1  # the rule, from its day on


def test_striking_says_what_was_struck(keyboard: Keyboard) -> None:
    keyboard("write", "head", "--pen", "High", "--head", "53")
    number = keyboard.yard.entries
    answer = keyboard("strike", str(number), "--because", "wrong pen")
    assert answer.status == 0
    assert answer.out == f"Struck entry {number}: High: 53 cows, was 52.\nentry {number + 1}\n"
    assert keyboard.yard.row("SELECT note FROM entry WHERE number = ?", number + 1)["note"] == "wrong pen"
    again = keyboard("strike", str(number))
    assert (again.status, again.out) == (1, "")


# retries


def test_the_same_request_writes_nothing_twice(keyboard: Keyboard) -> None:
    words = ("write", "head", "--pen", "High", "--head", "53", "--request", "walk-2026-03-09")
    first = keyboard(*words, "--as", "json").json
    state = keyboard.yard.state()
    second = keyboard(*words, "--as", "json").json
    assert (first["again"], second["again"]) == (False, True)
    assert first["entry"] == second["entry"]
    assert keyboard.yard.state() == state


@pytest.mark.parametrize("key", ["a b", "x" * 61, "\x1b[2J", "é", "a\nb"])
def test_a_request_that_is_no_key_is_refused(keyboard: Keyboard, key: str) -> None:
    for words in (["write", "head", "--pen", "High", "--head", "53"], ["strike", "9"]):
        answer = keyboard(*words, "--request", key)
        assert answer.status == 2
        assert "--request: that is not a key." in answer.err


# JSON


def test_fields_come_from_json(keyboard: Keyboard, tmp_path: Path) -> None:
    path = tmp_path / "ration.json"
    path.write_text(
        json.dumps(
            {
                "name": "High 2",
                "item": {"Corn silage": "17.3 lb dm", "Mineral mix": 0.8},
                "feeding": 2,
                "despite": None,
            }
        )
    )
    assert keyboard("write", "ration", "--json", str(path)).status == 0
    items = keyboard.yard.rows("SELECT basis, mg FROM ration_item ORDER BY id DESC LIMIT 2")
    # 0.8 lb are 362,873.896 mg, 17.3 lb 7,847,148.001 mg
    assert items == [{"basis": "as fed", "mg": 362_874}, {"basis": "dry matter", "mg": 7_847_148}]


def test_true_and_false_answer_yes_or_no(keyboard: Keyboard) -> None:
    keyboard("write", "pickup", "--json", "-", stdin='{"weight": 4300, "emptied": false}')
    assert keyboard.yard.row("SELECT emptied FROM pickup_ticket ORDER BY id DESC LIMIT 1")["emptied"] == 0


def test_a_number_in_json_has_a_point_whatever_the_farm_types(keyboard: Keyboard) -> None:
    keyboard("write", "farm", "--decimal", ",", "--system", "metric")
    keyboard("write", "temperature", "--json", "-", stdin='{"reading": 3.125}')
    assert keyboard.yard.row("SELECT tank_mC FROM temperature ORDER BY id DESC LIMIT 1")["tank_mC"] == 3_125


def test_a_list_makes_an_entry_of_each(keyboard: Keyboard) -> None:
    before = keyboard.yard.entries
    items = [{"pen": "High", "head": 53}, {"pen": "Far dry", "head": 17}]
    answer = keyboard("write", "head", "--json", "-", "--as", "json", stdin=json.dumps(items))
    assert [one["entry"] for one in answer.json] == [before + 1, before + 2]
    assert keyboard.yard.entries == before + 2


def test_the_first_that_is_refused_ends_a_list_and_the_rest_can_be_sent_again(keyboard: Keyboard) -> None:
    before = keyboard.yard.entries
    items = [{"pen": "High", "head": 53}, {"pen": "Low", "head": 5}, {"pen": "Far dry", "head": 17}]
    words = ("write", "head", "--json", "-", "--request", "count")
    answer = keyboard(*words, stdin=json.dumps(items))
    assert answer.status == 2
    assert answer.out == f"High: 53 cows, was 52.\nentry {before + 1}\n"
    assert "Item 2 of 3 was not written: pen: there is no pen called 'Low'." in answer.err
    assert f"Written before it: {before + 1}. Not tried after it: 1." in answer.err
    items[1]["pen"] = "Far"
    assert keyboard(*words, stdin=json.dumps(items)).status == 0
    assert keyboard.yard.entries == before + 3


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "that is not JSON"),
        ("{", "that is not JSON"),
        ("[]", "an object of fields, or a list of such objects"),
        ("3", "an object of fields, or a list of such objects"),
        ('["head"]', "an object of fields, or a list of such objects"),
        ('{"head": NaN, "pen": "High"}', "NaN is not a number"),
        ('{"head": 1e400, "pen": "High"}', "head"),
        ('{"head": 53, "head": 54, "pen": "High"}', "a key stands twice"),
        ('{"head": {"a": {"b": 1}}, "pen": "High"}', "that cannot be written"),
        ('{"head": [[1]], "pen": "High"}', "that cannot be written"),
        ('{"head": "53", "pen": ["High", "Far dry"]}', "given 2 times"),
        ('{"head": true, "pen": "High"}', "not a whole number"),
        ("[" * 100_000, "that is not JSON"),
    ],
)
def test_json_that_cannot_be_used_is_refused_in_words(keyboard: Keyboard, text: str, says: str) -> None:
    before = keyboard.yard.state()
    answer = keyboard("write", "head", "--json", "-", stdin=text)
    assert answer.status == 2
    assert says in answer.err
    assert "Traceback" not in answer.err
    assert keyboard.yard.state() == before


def test_a_json_file_that_cannot_be_read_is_named(keyboard: Keyboard, tmp_path: Path) -> None:
    (tmp_path / "latin.json").write_bytes(b'{"pen": "H\xf6gh"}')
    for path in (tmp_path / "none.json", tmp_path, tmp_path / "latin.json", Path("a\x00b")):
        answer = keyboard("write", "head", "--json", str(path))
        assert answer.status == 2
        assert "--json:" in answer.err


def test_options_and_json_are_not_mixed(keyboard: Keyboard) -> None:
    answer = keyboard("write", "head", "--pen", "High", "--json", "-", stdin='{"head": 1}')
    assert answer.status == 2
    assert "fields come from JSON or as options, not both" in answer.err


def test_a_list_corrects_nothing(keyboard: Keyboard) -> None:
    answer = keyboard("write", "head", "--corrects", "5", "--json", "-", stdin='[{"head": 1}]')
    assert answer.status == 2
    assert "one entry is corrected by one" in answer.err

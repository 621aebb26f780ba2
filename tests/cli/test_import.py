"""`herdbook import`: files as people save them, shown first, faults by line and column, nothing written twice."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.book.opening import reading
from herdbook.chores.import_analyses import is_known_heading, read_analyses
from herdbook.chores.import_ration import is_known_heading as is_ration_heading
from herdbook.chores.sheets import sheet_of
from herdbook.errors import Refused
from herdbook.reports.catalogue import ground_for_reading
from tests.book import reference_chain
from tests.cli.conftest import Answer, Keyboard
from tests.cli.test_on_a_terminal import ROOT, program
from tests.terminal import Terminal

GOOD = """\
# from the lab, March
feed,number,sampled,dry matter,cp,ndf (%),ca,ca method,cu (mg/kg),starch
Corn silage,A-17,2026-03-02,33.6,8.8,45.0,0.28,wet,6.1,nd

Mineral mix,A-18,2026-03-02,97,,,20,,,
"""
RATION = """\
feed,amount,unit,basis
Corn silage,17.3,lb,dry matter
Mineral mix,0.7,lb,as fed
"""


@pytest.fixture
def load(keyboard: Keyboard, tmp_path: Path) -> Any:
    """Save a text as a file and import it."""

    def do(kind: str, content: str | bytes, *options: str, name: str = "lab.csv") -> Answer:
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return keyboard("import", kind, str(path), *options)

    return do


def kept(keyboard: Keyboard) -> list[tuple[Any, ...]]:
    rows = keyboard.yard.rows(
        "SELECT feed, number, sampled_on, dry_ppm, nutrient, millionths, method FROM analysis_value "
        "JOIN analysis ON analysis.id = analysis ORDER BY analysis_value.id"
    )
    return [tuple(row.values()) for row in rows][5:]  # after those of the sample farm


WANTED = [
    (1, "A-17", "2026-03-02", 336_000, "cp", 8_800_000, ""),
    (1, "A-17", "2026-03-02", 336_000, "ndf", 45_000_000, ""),
    (1, "A-17", "2026-03-02", 336_000, "ca", 280_000, "wet chemistry"),
    (1, "A-17", "2026-03-02", 336_000, "cu", 6_100_000, ""),
    (1, "A-17", "2026-03-02", 336_000, "starch", None, ""),
    (2, "A-18", "2026-03-02", 970_000, "ca", 20_000_000, ""),
]


def test_a_file_is_one_entry_with_all_of_it(keyboard: Keyboard, load: Any) -> None:
    before = keyboard.yard.entries
    answer = load("analyses", GOOD, "--yes", "--note", "came by mail")
    assert (answer.status, answer.err) == (0, "")
    assert "line 3: Corn silage A-17, sampled 2026-03-02, 33.6 % dry matter: CP 8.8, NDF 45" in answer.out
    assert "2 analyses from lab.csv." in answer.out
    assert keyboard.yard.entries == before + 1
    assert kept(keyboard) == WANTED
    assert keyboard.yard.row("SELECT name, lines FROM read_file") == {"name": "lab.csv", "lines": 5}
    assert keyboard.yard.row("SELECT note FROM entry ORDER BY number DESC LIMIT 1")["note"] == "came by mail"
    assert reference_chain.faults(keyboard.path) == []


def as_saved(text: str, *, delimiter: str, decimal: str, encoding: str, newline: str) -> bytes:
    """The good file as another program would have saved it."""
    if delimiter != ",":
        text = text.replace(",", delimiter)
    if decimal == ",":
        import re

        text = re.sub(r"(?<=\d)\.(?=\d)", ",", text)
    return text.replace("\n", newline).encode(encoding)


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
@pytest.mark.parametrize(
    ("delimiter", "decimal"), [(",", "."), (";", ","), (";", "."), ("\t", ","), ("|", ".")]
)
def test_the_same_file_saved_in_other_ways_reads_the_same(
    keyboard: Keyboard, load: Any, delimiter: str, decimal: str, encoding: str, newline: str
) -> None:
    content = as_saved(GOOD, delimiter=delimiter, decimal=decimal, encoding=encoding, newline=newline)
    assert load("analyses", content, "--yes").status == 0
    assert kept(keyboard) == WANTED


def test_letters_of_older_programs_are_read(keyboard: Keyboard, load: Any) -> None:
    keyboard.yard.do("feed", name="Grünfutter", kind="forage")
    answer = load("analyses", "feed,dry,cp\nGrünfutter,18,16\n".encode("latin-1"), "--yes")
    assert answer.status == 0
    assert "Grünfutter" in answer.out


def test_a_farm_that_writes_commas_reads_a_file_with_points(keyboard: Keyboard, load: Any) -> None:
    keyboard.yard.do("farm", name="Hollow Farm", zone="America/Chicago", decimal=",")
    assert load("analyses", GOOD, "--yes").status == 0
    assert kept(keyboard) == WANTED


def test_the_same_file_writes_nothing_twice(keyboard: Keyboard, load: Any) -> None:
    load("analyses", GOOD, "--yes")
    state = keyboard.yard.state()
    answer = load("analyses", GOOD, "--yes", name="copy of lab.csv")
    assert answer.status == 0
    assert "was read already: entry 21" in answer.out
    assert load("analyses", GOOD, "--yes", "--as", "json").json["again"] is True
    assert keyboard.yard.state() == state


def test_the_same_samples_in_another_file_write_nothing_twice(keyboard: Keyboard, load: Any) -> None:
    load("analyses", GOOD, "--yes")
    state = keyboard.yard.state()
    answer = load(
        "analyses", as_saved(GOOD, delimiter=";", decimal=",", encoding="utf-8", newline="\r\n"), "--yes"
    )
    assert answer.status == 0
    assert "every sample is in the book already" in answer.out
    assert keyboard.yard.state() == state


def test_new_samples_of_a_longer_file_are_added_alone(keyboard: Keyboard, load: Any) -> None:
    load("analyses", GOOD, "--yes")
    answer = load("analyses", GOOD + "Corn silage,A-19,2026-03-05,34,8.5,44,,,,\n", "--yes")
    assert answer.status == 0
    assert "line 3: in the book already, entry 21" in answer.out
    assert [row[1] for row in kept(keyboard)[6:]] == ["A-19", "A-19"]


def test_the_same_sample_with_other_figures_is_refused(keyboard: Keyboard, load: Any) -> None:
    load("analyses", GOOD, "--yes")
    answer = load("analyses", GOOD.replace("8.8", "8.9"), "--yes")
    assert answer.status == 2
    assert (
        "line 3: sample A-17 of Corn silage, 2026-03-02, is in the book (entry 21) with other figures"
        in answer.err
    )
    assert "CP 8.8 there, 8.9 here" in answer.err


def test_a_struck_file_may_be_read_again(keyboard: Keyboard, load: Any) -> None:
    load("analyses", GOOD, "--yes")
    keyboard("strike", "21")
    assert load("analyses", GOOD, "--yes").status == 0
    assert keyboard.yard.row("SELECT count(*) AS n FROM read_file")["n"] == 2


def test_a_dry_run_and_a_missing_yes_write_nothing(keyboard: Keyboard, load: Any) -> None:
    state = keyboard.yard.state()
    dry = load("analyses", GOOD, "--dry-run")
    assert dry.status == 0
    assert "Would write 2 analyses; nothing was written." in dry.out
    asked = load("analyses", GOOD)
    assert asked.status == 1
    assert "Give --yes" in asked.err
    assert keyboard.yard.state() == state


@pytest.mark.parametrize(("answer", "status", "more"), [("y", 0, 1), ("n", 1, 0)])
def test_a_terminal_is_asked_before_anything_is_written(
    keyboard: Keyboard, tmp_path: Path, answer: str, status: int, more: int
) -> None:
    path = tmp_path / "ration.csv"
    path.write_text(RATION)
    before = keyboard.yard.entries
    words = program(
        "--book", str(keyboard.path), "--person", "Ben", "import", "ration", str(path), "--name", "Two"
    )
    with Terminal(words, cwd=ROOT) as terminal:
        terminal.wait("Write ration Two, 2 feeds?", "the question")
        assert keyboard.yard.entries == before
        terminal.press(answer, "enter")
        assert terminal.exit_status() == status
    assert keyboard.yard.entries == before + more


def test_everything_wrong_is_said_at_once_with_line_column_and_value(keyboard: Keyboard, load: Any) -> None:
    bad = (
        "feed;number;sampled;moisture;CP;ndf (%)\n"
        "Corn silagee;A-1;2031-03-02;66,4;x;-45,0\n"
        "Corn silage;A-2;;140;8,1;45,0\n"
        ";A-3;;5;8,1;nd\n"
        "Mineral;A-4;;;8,1;nd\n"
    )
    state = keyboard.yard.state()
    answer = load("analyses", bad, "--yes")
    assert answer.status == 2
    assert keyboard.yard.state() == state
    lines = answer.err.splitlines()
    for begins in (
        "line 2, column feed, 'Corn silagee': there is no feed called",
        "line 2, column sampled, '2031-03-02': ",
        "line 2, column CP, 'x': ",
        "line 2, column ndf (%), '-45,0': a share below zero cannot be",
        "line 3, column moisture, '140': ",
        "line 4, column feed: it is empty.",
        "line 5, column moisture: it is empty.",
    ):
        assert any(line.startswith(begins) for line in lines), begins
    assert len(lines) == 7


HEADINGS = [
    ("feed,dry,zz", "column zz: no field and no nutrient is called so"),
    ("feed,dry,strach", "Did you mean starch?"),
    ("feed,dry,ca (lb)", "column ca (lb): lb is not a unit for it"),
    ("feed,cp", "column dry matter: it is missing"),
    ("dry,cp", "column feed: it is missing"),
    ("feed,dry,cp,CP (%)", "it says the same as column cp"),
    ("feed,dry,cp,cp", "the column 'cp' stands there 2 times"),
]


@pytest.mark.parametrize(("headings", "words"), HEADINGS)
def test_headings_that_cannot_be_used_are_named(load: Any, headings: str, words: str) -> None:
    answer = load("analyses", f"{headings}\nCorn silage,34\n", "--yes")
    assert answer.status == 2
    assert words in answer.err


def test_a_column_is_left_out_by_a_sign_before_its_heading(keyboard: Keyboard, load: Any) -> None:
    assert load("analyses", "feed,dry,- lab's own code,cp\nCorn silage,34,zzz,8.5\n", "--yes").status == 0
    assert [row[4:6] for row in kept(keyboard)] == [("cp", 8_500_000)]


FILES = [
    (b"", "it is empty"),
    (b"feed,dry,cp\n", "no row under the headings"),
    (b"\x00\x01\x02\xff\xfe", "it is not a text file"),
    (b"PK\x03\x04\x00\x00", "it is not a text file"),
    (b"feed,dry,cp\nCorn silage,34,8,9\n", "line 2: '9' stands beyond the last column"),
    (b"feed;dry;cp;ca\nCorn silage;33.3;8,25;1\n", "Use one decimal mark in the whole file"),
    (b"feed,dry,cp\n" + b"x" * 10_000_001, "more than 10 MB"),
]


@pytest.mark.parametrize(("content", "words"), FILES, ids=[words for _, words in FILES])
def test_files_that_cannot_be_used_are_refused_in_words(
    keyboard: Keyboard, load: Any, content: bytes, words: str
) -> None:
    state = keyboard.yard.state()
    answer = load("analyses", content, "--yes")
    assert answer.status == 2
    assert words in answer.err
    assert keyboard.yard.state() == state


@pytest.mark.parametrize("name", ["nothing.csv", "."])
def test_a_file_that_is_not_there_is_named(keyboard: Keyboard, tmp_path: Path, name: str) -> None:
    answer = keyboard("import", "analyses", str(tmp_path / name), "--yes")
    assert answer.status == 2
    assert "there is no such file" in answer.err


def test_moisture_taken_for_dry_matter_is_asked_by_line(keyboard: Keyboard, load: Any) -> None:
    keyboard.yard.do("feed", name="Alfalfa hay", kind="forage")
    answer = load("analyses", "feed,dry,cp\nAlfalfa hay,12,20\n", "--yes")
    assert answer.status == 2
    assert "line 2: dry matter: Dry hay at 12 % dry matter: is that its moisture?" in answer.err
    assert load("analyses", "feed,dry,cp,sure\nAlfalfa hay,12,20,yes\n", "--yes").status == 0


def test_as_received_rows_turn_to_dry_matter_as_they_are_written(keyboard: Keyboard, load: Any) -> None:
    load("analyses", "feed,dry,basis,cp,ph\nCorn silage,40,as received,3.2,3.9\n", "--yes")
    assert [row[4:6] for row in kept(keyboard)] == [("cp", 8_000_000), ("ph", 3_900_000)]


def test_nitrate_says_its_form_in_the_heading(keyboard: Keyboard, load: Any) -> None:
    load("analyses", "feed,dry,nitrate_n (% NO3)\nCorn silage,40,0.442672\n", "--yes")
    assert [row[4:6] for row in kept(keyboard)] == [("nitrate_n", 1_000_000_000)]
    assert load("analyses", "feed,dry,cp (NO3)\nCorn silage,40,8\n", "--yes").status == 2


def test_terminal_codes_in_a_file_are_harmless(keyboard: Keyboard, load: Any) -> None:
    answer = load("analyses", "feed,dry,number\n\x1b[31mCorn silage,34,\x1b]52;c;QQ==\x07A-9\n", "--yes")
    assert answer.status == 0
    assert "\x1b" not in answer.out + answer.err
    assert keyboard.yard.row("SELECT number FROM analysis ORDER BY id DESC LIMIT 1")["number"] == "A-9"


def test_a_long_file_is_kept_whole_though_the_entry_keeps_no_copy_of_its_words(
    keyboard: Keyboard, load: Any
) -> None:
    rows = "".join(
        f"Corn silage,B-{n},2026-02-{1 + n % 28:02},34,{8 + n % 9 / 10},45,0.3\n" for n in range(600)
    )
    answer = load("analyses", f"feed,number,sampled,dry,cp,ndf,ca\n{rows}", "--yes")
    assert answer.status == 0, answer.err
    assert keyboard.yard.row("SELECT count(*) AS n FROM analysis")["n"] == 602
    assert reference_chain.faults(keyboard.path) == []
    asked = keyboard.yard.row("SELECT length(asked) AS n FROM entry ORDER BY number DESC LIMIT 1")["n"]
    assert asked < 1_000


def test_a_hand_may_not_import(keyboard: Keyboard, load: Any, tmp_path: Path) -> None:
    (tmp_path / "x.csv").write_text(GOOD)
    answer = keyboard("import", "analyses", str(tmp_path / "x.csv"), "--yes", person="Cleo")
    assert answer.status == 1
    assert "may not write this" in answer.err


def test_a_ration_is_read_in_loading_order_as_its_next_version(keyboard: Keyboard, load: Any) -> None:
    answer = load("ration", RATION, "--name", "High 1", "--since", "+2", "--feeding", "2", "--yes")
    assert answer.status == 0, answer.err
    assert "Ration High 1, version 2, 2 feeds, from 2026-03-11, feeding 2." in answer.out
    rows = keyboard.yard.rows("SELECT place, feed, basis, mg FROM ration_item ORDER BY id DESC LIMIT 2")
    assert [tuple(row.values()) for row in rows] == [
        (2, 2, "as fed", 317_515),  # 0.7 lb of 453.59237 g
        (1, 1, "dry matter", 7_847_148),
    ]


def test_a_ration_read_twice_writes_nothing_unless_it_is_wanted_again(keyboard: Keyboard, load: Any) -> None:
    load("ration", RATION, "--name", "High 1", "--yes")
    state = keyboard.yard.state()
    answer = load("ration", RATION, "--name", "High 1", "--yes")
    assert answer.status == 0
    assert "was read already" in answer.out
    assert keyboard.yard.state() == state
    assert load("ration", RATION, "--name", "High 1", "--yes", "--again").status == 0


def test_units_stand_in_cells_or_columns_and_rows_say_their_basis(keyboard: Keyboard, load: Any) -> None:
    text = "feed;amount;basis\nCorn silage;7,85 kg dm;\nMineral mix;300 g;as fed\n"
    assert load("ration", text, "--name", "Two", "--basis", "dry matter", "--yes").status == 0
    rows = keyboard.yard.rows("SELECT basis, mg FROM ration_item ORDER BY id DESC LIMIT 2")
    assert [tuple(row.values()) for row in rows] == [("as fed", 300_000), ("dry matter", 7_850_000)]


# sums of parts as published diets print them: JASB 13:721, PMC7201084 lactation and prepartum, JASB s40104-019-0409-7
SUMS = [("60.00", "40.00", "100.00"), ("59.97", "40.00", "99.97"), ("59.98", "40.00", "99.98"),
        ("59.2", "40", "99.20"), ("59.5", "40", "99.50"), ("60.1", "40", "100.10")]  # fmt: skip


@pytest.mark.parametrize(("first", "second", "printed"), SUMS)
def test_parts_of_a_hundred_load_and_sum_as_printed(
    keyboard: Keyboard, load: Any, first: str, second: str, printed: str
) -> None:
    keyboard.yard.do("feed", name="Meal", kind="protein")
    keyboard.yard.do("analysis", feed="Meal", dry="90")
    text = f"feed,amount,unit\nCorn silage,{first},%\nMeal,{second},%\n"
    answer = load("ration", text, "--name", "Printed", "--whole", "24 kg dm", "--yes")
    assert answer.status == 0, answer.err
    assert f"parts as printed make {printed} %" in answer.out
    rows = keyboard.yard.rows("SELECT basis, mg FROM ration_item ORDER BY id DESC LIMIT 2")
    assert rows[1] == {"basis": "dry matter", "mg": round(float(first) * 240_000)}
    assert rows[0] == {"basis": "dry matter", "mg": 9_600_000}


RATION_FAULTS = [
    (
        "feed,amount\nCorn silage,60 %\nMineral mix,38.9 %\n",
        ["--whole", "24 kg dm"],
        "the parts make 98.90, not 100",
    ),
    ("feed,amount\nCorn silage,60 %\n", [], "line 2, column amount, '60 %': a part of 100 needs the whole"),
    (
        "feed,amount\nCorn silage,60 %\nMineral mix,1 lb\n",
        ["--whole", "24 kg"],
        "line 3, column amount: a weight stands",
    ),
    ("feed,amount\nCorn silage,x\nMinerals,1 lb\n", [], "line 2, column amount, 'x': that is no amount"),
    (
        "feed,amount\nCorn silage,1 lb\nMinerals,1 lb\n",
        [],
        "line 3, column feed, 'Minerals': there is no feed called",
    ),
    (
        "feed,amount\nCorn silage,1 lb\nCorn,1 lb\n",
        [],
        "line 3, column feed, 'Corn': the feed stands in line 2 too",
    ),
    ("feed,amount\n,1 lb\nCorn silage,\n", [], "line 2, column feed: it is empty"),
    ("feed,amount,basis\nCorn silage,1 lb,wet\n", [], "line 2, column basis, 'wet': that is no basis"),
    ("feed,amount,basis\nCorn silage,1 lb dm,as fed\n", [], "the amount says dry matter"),
    ("feed,amount\nCorn silage,5 F\n", [], "line 2, column amount, '5 F': °F does not measure"),
    ("feed,amount,price\nCorn silage,5,3\n", [], "column price: a ration has feed, amount, unit, basis"),
    ("feed,unit\nCorn silage,lb\n", [], "column amount: it is missing"),
    ("feed,amount,basis\nCorn silage,60 %,as fed\n", ["--whole", "24 kg dm"], "it is a part of as fed"),
]


@pytest.mark.parametrize(
    ("text", "options", "words"), RATION_FAULTS, ids=[words for *_, words in RATION_FAULTS]
)
def test_rations_that_cannot_be_read_say_where(
    keyboard: Keyboard, load: Any, text: str, options: list[str], words: str
) -> None:
    state = keyboard.yard.state()
    answer = load("ration", text, "--name", "Bad", "--yes", *options)
    assert answer.status == 2
    assert words in answer.err
    assert keyboard.yard.state() == state


def test_cautions_are_shown_and_stand_in_the_way(keyboard: Keyboard, load: Any) -> None:
    text = RATION.replace("0.7", "8")
    dry = load("ration", text, "--name", "High 1", "--dry-run")
    assert "caution: Mineral mix: 8.00 lb a head is over its own maximum" in dry.out
    state = keyboard.yard.state()
    assert load("ration", text, "--name", "High 1", "--yes").status == 1
    assert keyboard.yard.state() == state
    assert load("ration", text, "--name", "High 1", "--yes", "--despite", "the vet's advice").status == 0
    assert (
        "the vet's advice" in keyboard.yard.row("SELECT note FROM entry ORDER BY number DESC LIMIT 1")["note"]
    )


@given(st.binary(max_size=400) | st.text(max_size=300).map(lambda text: f"feed,dry,cp\n{text}".encode()))
def test_whatever_lies_in_a_file_is_read_or_refused_and_nothing_else(
    template_book: Path, content: bytes
) -> None:
    with reading(template_book) as connection:
        ground = ground_for_reading(connection, 1_773_068_400)
        said = "read"
        try:
            read_analyses(sheet_of(content, "x.csv", is_known_heading), connection, ground)
        except Refused as refused:
            said = str(refused)
        assert said
        assert "\x1b" not in said


@given(st.text(st.sampled_from('feedamoutnibs,;\t"\n0123456789.% Corn silage'), max_size=120))
def test_any_text_becomes_a_sheet_or_is_refused(text: str) -> None:
    try:
        sheet = sheet_of(f"feed,amount\n{text}".encode(), "x.csv", is_ration_heading)
    except Refused:
        return
    assert all(cell.text and cell.line > 1 for row in sheet.rows for cell in row.values())

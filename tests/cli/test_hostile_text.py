"""Ten thousand hostile texts through every field and every import: what comes back is text, and nothing else."""

from __future__ import annotations

import csv
import io
import json
import random
import unicodedata
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from herdbook.chores.doing import chores, find_chore
from herdbook.chores.drafting import understand
from herdbook.cli.print_sheets import print_sheets
from herdbook.errors import HerdbookError, Refused
from herdbook.reports.catalogue import SPECS
from tests.chores.samples import BEFORE, GOOD
from tests.cli.conftest import Keyboard
from tests.yard import Yard

pytestmark = pytest.mark.slow

MANY = 10_000
ESC, CSI, OSC, ST, BEL = "\x1b", "\x9b", "\x9d", "\x9c", "\x07"

PIECES = (
    # terminals (ECMA-48): clear, title, clipboard, link, reset, colours, answers, 8-bit forms, strings that never end
    *(
        f"{ESC}[2J",
        f"{ESC}]0;owned{BEL}",
        f"{ESC}]52;c;cm0gLXJm{BEL}",
        f"{ESC}]8;;http://a.test{ESC}\\x{ESC}]8;;{ESC}\\",
    ),
    *(
        f"{ESC}c",
        f"{ESC}[31m",
        f"{ESC}[6n",
        f"{ESC}[?1049h",
        f"{CSI}2J",
        f"{OSC}0;owned{ST}",
        f"{ESC}P+q544e{ESC}\\",
    ),
    *(
        f"{ESC}]52;c;never ended",
        f"{ESC}(0",
        ESC,
        CSI,
        "\x90",
        f"{ESC}{ESC}[H",
        f"{ESC}[1;1H",
        f"{ESC}_Gi=1;AA{ESC}\\",
    ),
    # single controls
    *(
        "\0",
        "\x07",
        "\x08\x08\x08",
        "\r",
        "\n",
        "\t",
        "\x0b",
        "\x0c",
        "\x0e",
        "\x1a",
        "\x7f",
        "\x85",
        "\r\n\r\n",
    ),
    # direction, zero width, tags, separators, half characters, marks without end
    *(
        "\u202egnp.exe\u202c",
        "\u2066x\u2069",
        "\u200b",
        "\u200d",
        "\ufeff",
        "\u2028",
        "\u2029",
        "\u00ad",
        "\U000e0041",
    ),
    *(
        "\ud800",
        "\udcff",
        "\uffff",
        "e" + "\u0301" * 30,
        "\u0623\u0628",
        "漢字",
        "🐄",
        "\ufe0f",
        "\u061c",
        "\u180e",
    ),
    # markup of this and of other programs
    *(
        "[bold red]Boo[/]",
        "[@click=app.quit]x[/]",
        "[link=file:///etc/passwd]x[/link]",
        "[/]",
        "[[",
        "\\[",
        "[on red]",
    ),
    *(
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "</td></table>",
        "&lt;b&gt;",
        "<!--",
        "]]>",
        "&#0;",
    ),
    *(
        "javascript:alert(1)",
        '" onmouseover="x',
        "'><svg/onload=x>",
        "<style>*{display:none}",
        "${7*7}",
        "{{7*7}}",
    ),
    # formulas, the shell, databases, formats, paths
    *(
        "=1+1",
        "+1",
        "-1+1",
        "@SUM(A1)",
        "=cmd|' /C calc'!A0",
        "\t=1",
        "\r=1",
        "＝1+1",
        "＠x",
        '=HYPERLINK("http://a")',
    ),
    *(
        "$(touch a)",
        "`touch a`",
        "; rm -rf .",
        "| cat",
        "&& id",
        "> a",
        "' OR 1=1 --",
        "'; DROP TABLE entry; --",
    ),
    *(
        "%s%s%n",
        "{0.__class__}",
        "%00",
        "../../etc/passwd",
        "C:\\x",
        "/dev/tcp/a/1",
        "\\u001b[2J",
        "\\x1b[2J",
        "NaN",
        "1e999",
    ),
    # what stands between the cells of a file
    *(",", ";", '"', '""', "'", '","', "\n=1+1,x\n", "#", "--", "null", "[]", "{}", "true"),
    # ordinary words between
    *("High", "Corn silage", "52", "now", "a", " ", "  ", "."),
)


def hostile_texts(many: int = MANY, seed: int = 7) -> Iterator[str]:
    """Every piece alone, then texts of two to seven of them, some very long; always the same ones."""
    yield from PIECES
    dice = random.Random(seed)
    for number in range(many - len(PIECES)):
        text = "".join(dice.choices(PIECES, k=dice.randint(2, 7)))
        yield text * dice.choice((500, 3_000)) if number % 100 == 0 else text


TEXTS = list(hostile_texts())
ALWAYS = "[red]<b>=1;$(a)"
"""Part of a name for every kind of thing that no chore refuses, so that each kind has a hostile one."""


def strange(text: str, *, lines: bool = False) -> list[str]:
    """Characters that lead a terminal, a program or a reader's eye astray."""
    harmful = ("Cc", "Cf", "Cs", "Zl", "Zp")
    return [one for one in text if unicodedata.category(one) in harmful and not (lines and one == "\n")]


def texts_in(value: Any) -> Iterator[str]:
    """Every text in a JSON value, keys too."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        yield from (text for pair in value.items() for one in pair for text in texts_in(one))
    elif isinstance(value, list):
        yield from (text for one in value for text in texts_in(one))


FIELDS = [(name, field) for name in GOOD for field in chores()[name].draft.asks()]


def test_there_are_ten_thousand_and_most_are_hostile() -> None:
    assert len(TEXTS) == MANY
    assert len(set(TEXTS)) > MANY * 0.9
    assert sum(bool(strange(text)) for text in TEXTS) > MANY / 2
    assert max(map(len, TEXTS)) > 50_000


def test_every_field_takes_them_as_harmless_text_or_refuses_them_in_harmless_words(yard: Yard) -> None:
    for name in ("walk", "alarm-step"):
        yard.do(*BEFORE[name][:1], **BEFORE[name][1])
    ground = yard.ground()
    taken, refused = set(), list[str]()
    for number, text in enumerate(TEXTS):
        name, field = FIELDS[number % len(FIELDS)]
        try:
            draft = understand(find_chore(name), GOOD[name] | {field: text}, ground)
        except Refused as fault:
            refused.append(str(fault))
            continue
        taken.add((name, field))
        kept = draft.model_dump(mode="json")
        for one in texts_in(kept):
            assert not strange(one), (name, field, text)
            assert len(one) <= 2_000, (name, field)
        ask = draft.asks()[field]
        if (value := getattr(draft, field)) is not None:
            assert not strange(ask.shown(value, ground)), (name, field, text)
    assert not strange("".join(refused))
    assert max(map(len, refused)) < 2_000
    assert len(refused) > MANY / 3
    assert len(taken) > 40, "free words are taken, not refused"


# -- what is written comes back --

NAMED = ("pen", "feed", "tank", "mixer", "ration", "person")


@pytest.fixture(scope="module")
def spoilt(template_book: Path, tmp_path_factory: pytest.TempPathFactory) -> Yard:
    """A farm whose every thing has a hostile name and whose every free word is hostile, as far as chores let them."""
    path = tmp_path_factory.mktemp("spoilt") / "farm.book"
    path.write_bytes(template_book.read_bytes())
    yard, dice = Yard(path), random.Random(11)
    for name in ("walk", "alarm-step"):
        yard.do(*BEFORE[name][:1], **BEFORE[name][1])
    words = [
        (name, field)
        for name, field in FIELDS
        if getattr(chores()[name].draft.asks()[field], "each", chores()[name].draft.asks()[field]).kind
        == "words"
        and name not in ("farm", "strike", "person")
    ]
    for name, field in words * 3:
        attempt(yard, name, **GOOD[name] | {field: dice.choice(TEXTS)[:150]})
    for text in (
        ALWAYS,
        *dice.sample(TEXTS, 12),
    ):  # a pen, its ration and its feed, so that the day's loads name them all
        short = text[:30]
        attempt(yard, "feed", name=f"{short} feed", kind="grain", price="50")
        if not attempt(yard, "pen", name=f"{short} pen", head="20"):
            continue
        attempt(yard, "ration", name=f"{short} ration", item=["Corn silage=10 lb"])
        rations = yard.ground().names["ration"]
        for pen in (one for one in yard.ground().names["pen"] if one.endswith(" pen")):
            attempt(yard, "pen-ration", pen=pen, ration=list(rations)[-1])
        attempt(yard, "person", name=f"{short} person", roles="reader")
        attempt(yard, "tank", name=f"{short} tank", holds="2000 lb")
    for piece in PIECES:
        attempt(yard, "note", words=f"{piece} kept")
    for text in ("[bold]Kept[/] as typed", "=1+1 kept", "<b>kept</b>", "[@click=app.quit]kept[/]"):
        yard.do("note", words=text)
    yard.book.close()
    return yard


def attempt(yard: Yard, chore: str, /, **texts: Any) -> bool:
    """Do a chore, unless it refuses."""
    try:
        yard.do(chore, **texts)
    except HerdbookError:
        return False
    return True


@pytest.fixture
def keyboard_there(
    spoilt: Yard, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Keyboard:
    return Keyboard(spoilt, capsys, monkeypatch)


def asked_with(yard: Yard, name: str) -> list[str]:
    """What a report must be told: the name of a hostile thing, in words of the command."""
    words, last, spec = [], [], SPECS[name]
    tanks = [key for key, ask in spec.options.items() if getattr(ask, "thing", "") == "tank"]
    for option in (*spec.needed, *tanks):
        thing = str(getattr(spec.options[option], "thing", ""))
        its = [one for one in yard.ground().names[thing] if one.endswith(f" {thing}")]
        if option == spec.position:
            last = ["--", its[-1]]
        else:
            words.append(f"--{option}={its[-1]}")
    return [*words, *last]


def test_the_book_is_as_hostile_as_it_gets(spoilt: Yard) -> None:
    said = "\n".join(row["said"] for row in spoilt.rows("SELECT said FROM entry"))
    assert spoilt.entries > 100
    for sign in ("[bold red]", "<script>", "=1+1", "$(touch a)", "DROP TABLE"):
        assert sign in said
    assert not strange(said, lines=True)


@pytest.mark.parametrize("name", SPECS)
def test_a_report_shows_it_as_text_in_tables_json_and_csv(keyboard_there: Keyboard, name: str) -> None:
    needed = asked_with(keyboard_there.yard, name)
    if name == "week":
        assert keyboard_there("show", name).status == 0
    shown = keyboard_there("show", name, *needed)
    assert shown.status == 0, shown.err
    assert not strange(shown.out, lines=True)
    made = keyboard_there("show", name, "--as", "json", *needed)
    assert not [text for text in texts_in(made.json) if strange(text)]
    for table in made.json["tables"] or {"": ()}:
        words = ["--table", table] if len(made.json["tables"]) > 1 else []
        answer = keyboard_there("show", name, *words, "--as", "csv", *needed)
        assert answer.status == 0, answer.err
        assert not strange(answer.out, lines=True)
        rows = list(csv.reader(io.StringIO(answer.out)))
        assert len({len(row) for row in rows}) <= 1, "a text has broken a row in two"
        assert not [cell for row in rows for cell in row if runs(cell)]


def runs(cell: str) -> bool:
    """Whether a spreadsheet takes a cell for a formula and it is no number (OWASP, "CSV Injection")."""
    if not cell.startswith(("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")):
        return False
    try:
        float(cell)
    except ValueError:
        return True
    return False


def test_markup_and_formulas_stand_as_they_were_typed(keyboard_there: Keyboard) -> None:
    shown = keyboard_there("show", "entries").out
    for text in ("[bold]Kept[/] as typed", "=1+1 kept", "<b>kept</b>", "[@click=app.quit]kept[/]"):
        assert text in " ".join(shown.split())
    rows = csv.DictReader(io.StringIO(keyboard_there("show", "entries", "--as", "csv").out))
    assert "'=1+1 kept" in {row["said"] for row in rows}


class Tags(HTMLParser):
    """What a browser would make of a page: its elements with their attributes, and its words."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.found: set[tuple[str, tuple[str, ...]]] = set()
        self.words = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.add((tag, tuple(name for name, _ in attrs)))

    def handle_data(self, data: str) -> None:
        self.words += data

    def handle_comment(self, data: str) -> None:
        raise AssertionError(f"a comment: {data}")


def test_the_sheet_for_the_wall_has_no_element_but_its_own(keyboard_there: Keyboard, yard: Yard) -> None:
    tame = Keyboard(yard, keyboard_there.capsys, keyboard_there.monkeypatch)("print", "loads", "--as", "html")
    page = keyboard_there("print", "loads", "--as", "html")
    assert page.status == tame.status == 0
    assert not strange(page.out, lines=True)
    assert Tags(page.out).found <= Tags(tame.out).found | {("p", ("class",))}
    names = [name for name in keyboard_there.yard.ground().names["pen"] if name.endswith(" pen")]
    assert names
    assert any(" ".join(name.split()) in " ".join(Tags(page.out).words.split()) for name in names)
    assert not strange(keyboard_there("print", "loads").out, lines=True)


HTML_SHEETS = [
    name
    for name, sheet in print_sheets.commands.items()
    for one in sheet.params
    if "html" in getattr(one.type, "choices", ())
]


@pytest.mark.parametrize("name", HTML_SHEETS)
def test_no_sheet_takes_a_text_for_an_element_that_does_something(
    keyboard_there: Keyboard, name: str
) -> None:
    several = name == "temperature-record"  # asks which tank, where there is more than one
    asked = ["--tank=North"] if several else []
    page = keyboard_there("print", name, *asked, "--as", "html")
    assert page.status == 0, page.err
    assert not strange(page.out, lines=True)
    tags = Tags(page.out).found
    assert not {tag for tag, _ in tags} & {
        "script",
        "img",
        *([] if several else ["svg"]),  # the record draws its own curve
        "iframe",
        "a",
        "link",
        "object",
        "form",
        "button",
    }
    assert not [
        one for _, names in tags for one in names if one.startswith("on") or one in ("href", "src", "style")
    ]
    assert not strange(keyboard_there("print", name, *asked).out, lines=True)


# -- imports --


def outcome(keyboard: Keyboard, *words: str) -> str:
    """Run an import; it ends in a sentence, whatever was in the file."""
    answer = keyboard(*words)
    assert answer.status in (0, 1, 2), answer.err
    assert "Traceback" not in answer.err
    assert not strange(answer.out + answer.err, lines=True)
    return answer.out


def sheet(path: Path, heading: list[str], rows: list[list[str]]) -> str:
    with path.open("w", newline="", encoding="utf-8", errors="surrogatepass") as file:
        csv.writer(file).writerows([heading, *rows])
    return str(path)


def test_files_of_analyses_are_read_as_text_or_refused_in_words(keyboard: Keyboard, tmp_path: Path) -> None:
    heading = ["feed", "number", "laboratory", "sampled", "dry matter", "cp"]
    read = 0
    for number in range(40):
        file = tmp_path / f"{number} =1+1 [bold].csv"
        at = number * 200
        rows = [
            ["Corn silage", f"{number}-{place} {text[:40]}", text[:60], "2026-01-05", "33.6", "8.8"]
            for place, text in enumerate(TEXTS[at : at + 20])
        ]
        read += "rows" in outcome(keyboard, "import", "analyses", sheet(file, heading, rows), "--yes")
        wrong = [
            row if place % 5 else [*row[:3], *TEXTS[at + 50 + place : at + 53 + place]]
            for place, row in enumerate(rows)
        ]
        outcome(keyboard, "import", "analyses", sheet(file, heading, wrong), "--yes")
        outcome(keyboard, "import", "analyses", sheet(file, [*heading, *TEXTS[at : at + 3]], rows), "--yes")
        outcome(keyboard, "import", "analyses", sheet(file, TEXTS[at : at + 6], rows), "--yes")
    assert keyboard.yard.rows("SELECT 1 FROM entry WHERE chore = 'analyses'")
    for row in keyboard.yard.rows("SELECT said, asked, note FROM entry"):
        assert not strange(row["said"] + row["note"], lines=True)
        assert not [text for text in texts_in(json.loads(row["asked"])) if strange(text)]
    assert not strange(keyboard("show", "entries").out, lines=True)


def test_rations_and_filled_in_sheets_too(keyboard: Keyboard, tmp_path: Path) -> None:
    for number, text in enumerate(TEXTS[100:2_100:50]):
        file = tmp_path / f"{number}.csv"
        rows = [["Corn silage", "10", "kg", "as fed"], [text, "1", text[:20], text[:20]]]
        made = sheet(file, ["feed", "amount", "unit", "basis"], rows)
        outcome(keyboard, "import", "ration", made, "--name", text[:200].replace("\0", "") or "x", "--yes")
        file.write_text(json.dumps({"loads": [{"pen": text, text: text}], "refusals": [text]}))
        outcome(keyboard, "enter", "--json", str(file))
        file.write_text(text, encoding="utf-8", errors="surrogatepass")
        outcome(keyboard, "import", "analyses", str(file), "--yes")
        outcome(keyboard, "import", "ration", str(file), "--name", "x", "--yes")
        outcome(keyboard, "enter", "--json", str(file))

"""The manual can fail: every command, chore, field, setting, report, key and rule is found in it."""

from __future__ import annotations

import re
from dataclasses import fields
from pathlib import Path

import pytest

import herdbook
from herdbook.book.opening import reading
from herdbook.book.rules.looking import every_rule
from herdbook.chores.doing import ROLES, chores
from herdbook.cli.main import COMMANDS
from herdbook.cli.manual import read
from herdbook.reports.catalogue import SPECS, ground_for_reading, make
from herdbook.reports.fields_in_words import how_typed
from herdbook.reports.manual_pages import TOPICS, heading_of
from herdbook.science.cooling_rules import cooling_rules
from herdbook.science.figures import ration_figures
from herdbook.science.registry import rules
from herdbook.science.sources import SOURCES
from herdbook.screens.keys import EVERYWHERE, MOVES, PLACES
from herdbook.settings import BOOK_VARIABLE, CHOICES, Settings
from herdbook.units import UNITS
from tests.yard import Yard

PAGES = {topic: read(topic) for topic in TOPICS}
EVERYTHING = "\n".join(PAGES.values())
NAMED = {"name": "High 1", "pen": "High", "feed": "Corn silage"}
"""What a report of the made-up farm is asked with where it must be."""
FOLDER = Path(herdbook.__file__).parent / "manual"


def test_every_page_is_a_topic_and_every_topic_a_page() -> None:
    assert {path.stem for path in FOLDER.glob("*.md")} == set(TOPICS)


@pytest.mark.parametrize("topic", TOPICS)
def test_a_page_has_a_heading_and_no_gap_left(topic: str) -> None:
    assert PAGES[topic].startswith(f"# {heading_of(topic)}\n")
    assert "{{" not in PAGES[topic]
    assert not re.search(r"\n\n\n\n", PAGES[topic])  # a gap that was filled with nothing


@pytest.mark.parametrize("topic", TOPICS)
def test_topics_that_a_page_sends_to_exist(topic: str) -> None:
    for other in re.findall(r"herdbook manual (\w+)`", PAGES[topic]):
        assert other in (*TOPICS, "TOPIC"), other


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_listed(command: str) -> None:
    assert f"| `herdbook {command}` |" in PAGES["commands"]


@pytest.mark.parametrize("name", chores())
def test_every_chore_stands_with_all_its_fields(name: str) -> None:
    chore = chores()[name]
    section = PAGES["commands"].partition(f"### {name}: {chore.title}\n")[2].partition("\n### ")[0]
    for field, ask in chore.draft.asks().items():
        row = next(
            line for line in section.splitlines() if line.startswith(f"| `--{field.replace('_', '-')}` |")
        )
        assert how_typed(ask).replace("|", "/") in row
        assert ask.help.replace("|", "/") in row
        assert row.endswith("needed) |") == chore.draft.required(field)
    for role in ROLES:
        assert (role in section.partition("\n\n|")[0]) == (role in chore.roles)


@pytest.mark.parametrize("name", SPECS)
def test_every_report_stands_with_its_options(name: str) -> None:
    row = next(line for line in PAGES["commands"].splitlines() if line.startswith(f"| `{name}` |"))
    assert SPECS[name].title in row
    for option in SPECS[name].options:
        assert option.upper() in row or f"--{option}" in row


@pytest.mark.parametrize("name", SPECS)
def test_every_key_of_a_report_stands_in_the_page_on_json(yard: Yard, name: str) -> None:
    texts = {option: NAMED[option] for option in SPECS[name].needed}
    with reading(yard.path) as connection:
        report = make(name, connection, ground_for_reading(connection, yard.now_s), texts)
    row = next(line for line in PAGES["json"].splitlines() if line.startswith(f"| {name} |"))
    for key in report.facts:
        assert f"`{key}`" in row.split("|")[2]
    for table in report.tables:
        told = re.search(rf"\b{table.key}: ([^;|]*)", row.split("|")[3])
        assert told, f"{name}: the table {table.key} is not told"
        assert re.findall(r"`(\w+)`", told[1]) == [column.key for column in table.columns]


def test_every_setting_stands_with_its_choices() -> None:
    for setting in fields(Settings):
        row = next(
            line for line in PAGES["settings"].splitlines() if line.startswith(f"| `{setting.name}` |")
        )
        assert row.split("|")[3].strip(), f"{setting.name} says nothing"
        for word in CHOICES.get(setting.name, ()):
            assert word in row
    assert BOOK_VARIABLE in PAGES["settings"]


@pytest.mark.parametrize("key", [*PLACES, *EVERYWHERE, *MOVES], ids=lambda key: key.id)
def test_every_key_stands_with_what_it_does(key: object) -> None:
    assert key.says in PAGES["keys"]  # type: ignore[attr-defined]


def test_every_published_rule_stands_with_its_sources_and_its_mark() -> None:
    for rule in rules().values():
        (line,) = [line for line in PAGES["rules"].splitlines() if line.startswith(f"- `{rule.key}`:")]
        assert all(SOURCES[source].citation() in line for source in rule.sources)
        assert ("*From memory.*" in line) == rule.from_memory


def test_every_cooling_rule_stands_with_its_source_and_the_day_it_was_read() -> None:
    for rule in cooling_rules().values():
        section = PAGES["cooling"].partition(f"\n## {rule.key}\n")[2].partition("\n## ")[0]
        assert rule.source in section
        assert rule.date_read.isoformat() in section
        assert all(clause.says in section for clause in rule.clauses)
        assert ("From memory" in section) == (not rule.read)


def test_every_figure_unit_and_check_is_listed() -> None:
    assert all(f"| `{key}` |" in PAGES["ration"] for key in ration_figures())
    assert all(unit.symbol in PAGES["units"] for unit in UNITS)
    for rule in every_rule():
        assert (rule.__doc__ or "?").splitlines()[0] in PAGES["trust"]


@pytest.mark.parametrize(
    ("danger", "deference"),
    [
        ("Silo gas", "doctor"),
        ("augers", "seat"),
        ("Urea", "Kertz"),
        ("Nitrate", "Clemson"),
        ("Drugs", "label"),
        ("withholding time", "veterinarian"),
        ("Refrigerant", "certified technicians"),
        ("chlorine", "labels"),
        ("Raw milk", "Centers for Disease Control"),
        ("Electricity", "electrician"),
        ("Monensin", "label"),
    ],
)
def test_what_can_hurt_has_its_caution_and_someone_who_knows(danger: str, deference: str) -> None:
    points = re.split(r"\n- ", PAGES["cautions"])
    assert any(danger in point and deference in point for point in points)


def test_every_caution_has_a_source_or_says_that_it_has_none() -> None:
    points = [point.partition("\n\n")[0] for point in re.split(r"\n- ", PAGES["cautions"])[1:]]
    assert len(points) > 12
    for point in points:
        if point.startswith("**No diagnosis**"):
            continue
        assert re.search(r"\[[^\]]+\]", point), point


def test_commands_in_the_manual_are_commands() -> None:
    """Every line to be typed names a command, a chore or a report there is."""
    for line in re.findall(r"^    herdbook (.+)$", EVERYTHING, re.MULTILINE):
        words = re.split(" {2,}", line.rstrip("\\"))[0].split()  # what stands further right says what it does
        assert words[0] in COMMANDS, line
        if words[0] == "write":
            assert words[1] in chores(), line
            assert all(word.startswith("--") for word in words[2:3]), f"{line}: a chore takes options alone"
            options = {word.partition("=")[0] for word in words[2:] if word.startswith("--")}
            known = {f"--{field.replace('_', '-')}" for field in chores()[words[1]].draft.asks()}
            assert options <= known | {"--json", "--corrects", "--note", "--request", "--as"}, line
        if words[0] in ("show", "explain"):
            assert words[1] in SPECS, line
            spec = SPECS[words[1]]
            options = {word for word in words[2:] if word.startswith("--")}
            known = {f"--{option}" for option in spec.options if option != spec.position}
            assert options <= known | {"--as", "--table"}, line
        if words[0] == "reckon":
            assert words[1] in rules(), line


def test_no_withholding_time_and_no_diagnosis_is_given() -> None:
    assert not re.search(r"withh\w+ (time|period) (of|is) [0-9]", EVERYTHING)

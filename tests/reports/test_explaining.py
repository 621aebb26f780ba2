"""A figure told in words: value in the farm's units, rule, inputs, gaps, entries, and its source where it has one."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from herdbook.book.opening import reading
from herdbook.chores.ground import Ground
from herdbook.clock import FarmClock
from herdbook.reports.catalogue import SPECS, ground_for_reading, make
from herdbook.reports.explaining import MOST_ENTRIES, explain
from herdbook.reports.figures import Column, Figure, entries_of
from herdbook.reports.showing import flagged, heading, in_farm_units, shown
from herdbook.science.registry import rules
from herdbook.units import FarmUnits
from tests.yard import Yard

US, METRIC = FarmUnits("us"), FarmUnits("metric", ",", "€")
NOON = 1_773_075_600  # 2026-03-09 17:00 UTC
GROUND = Ground(US, FarmClock("America/Chicago"), NOON)


def told(figure: Figure, column: Column | None = None) -> str:
    return "\n".join(explain("Low, eaten", figure, GROUND, lambda n: f"sentence {n}", column=column).lines())


def test_the_value_stands_in_the_farms_units() -> None:
    column = Column("dm_eaten_kg", "DM eaten", "kg", 1)
    # 20 kg are 44.0925 lb
    assert told(Figure(20.0, "kg"), column).startswith("Low, eaten: 44.1 lb")


def test_inputs_gaps_and_entries_have_their_headings_and_empty_ones_are_not_there() -> None:
    figure = Figure(20.0, "kg", "less over heads", {"head": "50"}, ("no refusal",), entries_of(3, 4))
    text = told(figure)
    assert "How it is made\n  less over heads\n" in text
    assert "From\n  head: 50\n" in text
    assert "Not in it\n  no refusal\n" in text
    assert "Entries under it\n  3  sentence 3\n  4  sentence 4" in text
    assert "From" not in told(Figure(1.0))


def test_figures_inside_figures_are_followed() -> None:
    inner = Figure(2.0, "kg", "weighed back", {"scale": "4 lb"}, ("no dry matter",))
    text = told(Figure(20.0, "kg", "less over heads", {"refused": inner}))
    assert "  refused: 4.409 lb\n    weighed back\n    not in it: no dry matter\n    scale: 4 lb" in text


def test_a_figure_that_holds_itself_ends() -> None:
    loop: dict[str, object] = {}
    figure = Figure(1.0, "", "round and round", loop)
    loop["itself"] = figure
    assert told(figure).count("itself") == 4


@pytest.mark.parametrize("key", ["nfc-by-difference", "fcm-4"])
def test_a_published_rule_is_told_with_formula_and_source(key: str) -> None:
    text = told(Figure(1.0, "%", key))
    rule = rules()[key]
    assert rule.title in text
    assert rule.formula in text
    assert text.count("Source: ") == len(rule.sources)
    assert ("From memory" in text) == rule.from_memory


def test_a_rule_from_memory_says_so() -> None:
    key = next(rule.key for rule in rules().values() if rule.from_memory)
    assert "From memory: " in told(Figure(1.0, "", key))


def test_many_entries_are_told_in_part_and_counted_whole() -> None:
    numbers = range(1, 101)
    made = explain("x", Figure(1.0, entries=entries_of(*numbers)), GROUND, str)
    assert made.entries == tuple(numbers)
    (part,) = [part for part in made.parts if part.heading == "Entries under it"]
    assert len(part.lines) == MOST_ENTRIES + 1
    assert "and 48 more" in part.lines[-1][1]


def test_entries_are_looked_up_only_when_asked() -> None:
    asked: list[int] = []

    def entries() -> list[int]:
        asked.append(1)
        return [7]

    figure = Figure(1.0, entries=entries)
    assert not asked
    told(figure)
    assert asked == [1]


@pytest.mark.parametrize(
    ("figure", "column", "us", "metric"),
    [
        (Figure(100.0, "kg"), Column("a_kg", "A", "kg", 1), "220.5", "100,0"),
        (Figure(4.0, "degC"), Column("a_degC", "A", "degC", 1), "39.2", "4,0"),
        (Figure(10.0, "delta_degC"), Column("a_degC", "A", "delta_degC", 1), "18.0", "10,0"),
        (Figure(254.0, "mm"), Column("a_mm", "A", "mm", 2), "10.00", "254,00"),
        (Figure(123456.0, "cents"), Column("a_cents", "A", "cents"), "1,234.56", "1 234,56"),
        (Figure(16.84, "%"), Column("a_percent", "A", "%", 1), "16.8", "16,8"),
        (Figure(None, "kg"), Column("a_kg", "A", "kg"), "–", "–"),
        (Figure(True), Column("a", "A"), "yes", "yes"),
        (Figure(1743), Column("entry", "Entry"), "1743", "1743"),
        (Figure("2026-03-09"), Column("day", "Day", "day"), "Mon 9 Mar", "Mon 9 Mar"),
        (Figure("kg"), Column("unit", "Unit"), "lb", "kg"),
        (Figure(10.0, "kg"), Column("value", "Value", "own", 2), "22.05", "10,00"),
        (Figure(NOON), Column("read_at", "Read", "time"), "12:00", "12:00"),
    ],
)
def test_a_value_is_shown_as_the_farm_reads_it(figure: Figure, column: Column, us: str, metric: str) -> None:
    assert shown(figure, column, GROUND) == us
    assert shown(figure, column, Ground(METRIC, GROUND.clock, NOON)) == metric


def test_a_difference_is_not_a_temperature() -> None:
    assert in_farm_units(0.0, "degC", US) == 32
    assert in_farm_units(0.0, "delta_degC", US) == 0


def test_a_flag_stands_with_its_word_once() -> None:
    assert flagged(Figure(8.5, flag="!!", says="too warm"), "47.3") == "!! 47.3 too warm"
    assert flagged(Figure("low", flag="!", says="low"), "low") == "! low"
    assert flagged(Figure(8.5), "47.3") == "47.3"


def test_a_heading_names_the_farms_unit() -> None:
    assert heading(Column("a_kg", "Held", "kg"), US) == "Held lb"
    assert heading(Column("a_kg", "Held", "kg"), METRIC) == "Held kg"
    assert heading(Column("dm_percent", "DM %", "%"), US) == "DM %"


def bare_inputs(figure: Figure, deep: int = 0) -> Iterator[str]:
    """What is told of a figure in words of its own and not as a figure."""
    for value in figure.inputs.values():
        if isinstance(value, Figure):
            yield from bare_inputs(value, deep + 1) if deep < 4 else ()
        else:
            yield str(value)


def test_nothing_behind_a_figure_is_told_in_kilograms_on_a_farm_that_weighs_in_pounds(yard: Yard) -> None:
    yard.do("refusal", pen="High", weight="84", fed="today")
    yard.do("weather", of="today", air="88 F", humidity="60")
    yard.do("pickup", weight="4300", stick="12 in", ticket="T-1")
    told_of = []
    with reading(yard.path) as connection:
        ground = ground_for_reading(connection, yard.now_s + 86_400)
        for name, spec in SPECS.items():
            texts = {option: {"pen": "High", "feed": "corn"}.get(option, "High 1") for option in spec.needed}
            report = make(name, connection, ground, texts)
            figures = [*report.facts.values()]
            figures += [
                cell for table in report.tables for line in table.lines for cell in line.cells.values()
            ]
            told_of += [(name, words) for figure in figures for words in bare_inputs(figure)]
    assert len(told_of) > 100
    assert [one for one in told_of if re.search(r"\d ?(kg|°C|mm|t)\b", one[1])] == []

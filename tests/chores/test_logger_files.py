"""A logger's file of any reasonable shape is understood or refused by line and column, never guessed."""

from __future__ import annotations

import re
import tempfile
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdbook.chores.ground import Ground
from herdbook.chores.logger_files import LoggerFile, read_logger_file
from herdbook.chores.logger_layouts import DELIMITERS, Given
from herdbook.clock import FarmClock
from herdbook.errors import Refused
from herdbook.units import FarmUnits

CHICAGO = ZoneInfo("America/Chicago")
NOW = datetime(2026, 3, 9, 10, 0, tzinfo=CHICAGO)
GROUND = Ground(FarmUnits(), FarmClock("America/Chicago"), int(NOW.timestamp()), {})


def read(content: str | bytes, *, whole: bool = False, **told: str) -> LoggerFile:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "logger.csv"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return read_logger_file(path, Given(**told), GROUND, whole=whole)


def at(text: str) -> int:
    """The instant of a time on the farm's clock."""
    return int(datetime.fromisoformat(text).replace(tzinfo=CHICAGO).timestamp())


def pairs(found: LoggerFile) -> list[tuple[int, int]]:
    return list(zip(found.found.series.read_at, found.found.series.tank_mC, strict=True))


DATES = {
    "ymd": "%Y-%m-%d",
    "dmy": "%d/%m/%Y",
    "mdy": "%m/%d/%Y",
    "dmy dots": "%d.%m.%Y",
    "named": "%d %b %Y",
    "basic": "%Y%m%d",
}
TIMES = {"minutes": "%H:%M", "seconds": "%H:%M:%S", "half": "%I:%M:%S %p", "zulu": "%H:%M:%SZ"}


@st.composite
def files(draw: Any) -> tuple[str, list[tuple[int, int]], dict[str, str]]:
    """A file, what it says, and all that must be told of it where it does not tell itself."""
    date, time = draw(st.sampled_from(sorted(DATES))), draw(st.sampled_from(sorted(TIMES)))
    delimiter = draw(st.sampled_from(["tab", "semicolon", "bar", "comma"]))
    unit, mark = draw(st.sampled_from("CF")), draw(st.sampled_from(".,"))
    apart, quoted, headed = draw(st.booleans()), draw(st.booleans()), draw(st.booleans())
    start = draw(st.integers(at("2024-01-02T00:00"), at("2025-12-30T00:00"))) // 60 * 60
    steps = draw(st.lists(st.integers(1, 3_000), min_size=2, max_size=30))
    cold, warm = (1, 380) if unit == "C" else (330, 1_000)  # as milk can be
    tenths = draw(st.lists(st.integers(cold, warm), min_size=len(steps), max_size=len(steps)))
    rows, wanted, now = [], [], start
    for step, tenth in zip(steps, tenths, strict=True):
        now += 60 * step
        wall = datetime.fromtimestamp(now, UTC)
        number = f"{tenth // 10}{mark}{tenth % 10}"
        if quoted or (mark == "," and delimiter == "comma"):
            number = f'"{number}"'
        when = [wall.strftime(DATES[date]), wall.strftime(TIMES[time])]
        rows.append([*(when if apart else [" ".join(when)]), number])
        warmth = tenth * 100 if unit == "C" else round((tenth / 10 - 32) / 1.8 * 1000)
        wanted.append((now, warmth))
    if headed:
        rows.insert(0, [*(["Day", "Clock"] if apart else ["When"]), f"Milk (°{unit})"])
    text = "".join(f"{DELIMITERS[delimiter].join(row)}\n" for row in rows)
    order = {"dmy": "dmy", "dmy dots": "dmy", "mdy": "mdy"}.get(date, "")
    return text, wanted, {"zone": "UTC", "unit": unit, "date_order": order}


@settings(max_examples=60, deadline=None)
@given(files())
def test_every_delimiter_order_of_dates_unit_and_mark_comes_back(made: Any) -> None:
    text, wanted, told = made
    found = read(text, **told)
    assert not found.found.faults
    assert [when for when, _ in pairs(found)] == [when for when, _ in wanted]
    assert all(abs(got - mc) <= 1 for (_, got), (_, mc) in zip(pairs(found), wanted, strict=True))


@settings(max_examples=60, deadline=None)
@given(files())
def test_what_is_found_out_is_right_or_refused(made: Any) -> None:
    text, wanted, _ = made
    try:
        found = read(text, zone="UTC")
    except Refused as refused:
        said = str(refused)
    else:
        said = ""
    if said:  # either answer will do; a wrong one will not
        assert re.search(r"line \d+.* Give --", said)
        return
    assert [when for when, _ in pairs(found)] == [when for when, _ in wanted] or found.found.faults
    warm = dict(wanted)
    assert all(abs(mc - warm[when]) <= 1 for when, mc in pairs(found))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("02/03/2026 05:00,3.8\n02/03/2026 06:00,3.8\n", "may be 2 March (dmy) or 3 February (mdy)"),
        ("2026-03-09 05:00,38.1\n2026-03-09 06:00,39.2\n", "may be °C or °F"),
        ("2026-03-09 05:00,3.8,4.1\n", "the temperature could be in column 2 (3.8) or column 3 (4.1)"),
        ("2026-03-09 05:00,2026-03-09 05:01,4.1\n", "the time could be in column 1"),
    ],
)
def test_what_two_readings_fit_is_refused_with_both(text: str, says: str) -> None:
    with pytest.raises(Refused, match=re.escape(says)) as refused:
        read(text)
    assert refused.value.remedy.startswith("Give --")


def test_a_date_ahead_of_today_is_not_meant() -> None:
    assert read("03/09/2026 05:00,3.8\n").layout.date_order == "mdy"  # today is 9 March


def test_dates_tell_their_order_by_a_day_past_twelve_wherever_it_stands() -> None:
    early = "".join(f"01/02/2026 {hour:02}:{minute:02},3.8\n" for hour in range(8) for minute in range(60))
    found = read(early + "13/02/2026 00:00,3.9\n")
    assert found.layout.date_order == "dmy"
    assert pairs(found)[-1] == (at("2026-02-13T00:00"), 3_900)


def test_day_following_on_day_tells_the_order() -> None:
    rows = "".join(f"{day:02}/01/2025 12:00;3,{day}\n" for day in range(1, 9))
    found = read(rows)
    assert found.layout.date_order == "dmy"
    assert found.layout.why["date_order"] == "day follows on day"


@pytest.mark.parametrize(
    ("heading", "cell", "unit"),
    [
        ("Temp (F)", "39.2", "F"), ("Temperature °C", "4", "C"), ("degF", "39.2", "F"), ("milk_c", "4", "C"),
        ("Celsius", "4", "C"), ("T", "39.2 F", "F"), ("T", "4 °C", "C"), ("T", "4.0", "C"),
    ],
)  # fmt: skip
def test_the_unit_is_by_heading_by_cell_or_by_what_milk_can_have(heading: str, cell: str, unit: str) -> None:
    found = read(f"time,{heading}\n2026-03-09 05:00,{cell}\n")
    assert found.layout.unit == unit
    assert pairs(found) == [(at("2026-03-09T05:00"), 4_000)]


def test_a_day_above_thirty_one_is_fahrenheit() -> None:
    rows = "".join(f"2026-03-08 {hour:02}:00,{38 + hour % 9}.5\n" for hour in range(24))
    assert read(rows).layout.unit == "F"


@pytest.mark.parametrize(
    ("cell", "wanted"),
    [
        ("2026-03-09T10:00:00Z", "2026-03-09T05:00"), ("2026-03-09 12:00:00+02:00", "2026-03-09T05:00"),
        ("1773050400", "2026-03-09T05:00"), ("1773050400000", "2026-03-09T05:00"),
        ("20260309T050000", "2026-03-09T05:00"), ("Mar 9, 2026 5:00 AM", "2026-03-09T05:00"),
        ("9-Mar-26 05:00", "2026-03-09T05:00"), ("2026/3/9 5:00", "2026-03-09T05:00"),
        ("Mon 09 Mar 2026 05:00", "2026-03-09T05:00"), ("2026-03-09 12:00:01 a.m.", "2026-03-09T00:00:01"),
        ("2026-03-09 05:00:00.750", "2026-03-09T05:00"),
    ],
)  # fmt: skip
def test_times_of_many_kinds_are_the_instants_they_say(cell: str, wanted: str) -> None:
    quoted = f'"{cell}"' if "," in cell else cell
    found = read(f"time,temp C\n{quoted},3.8\n")
    assert pairs(found) == [(at(wanted), 3_800)]


def test_a_heading_in_utc_makes_the_times_utc() -> None:
    found = read("Time (UTC),temp C\n2026-03-09 10:00,3.8\n")
    assert pairs(found) == [(at("2026-03-09T05:00"), 3_800)]


def test_a_doubled_hour_is_told_apart_by_the_order_of_its_rows() -> None:
    rows = [f"2025-11-02 {time},{value}" for time, value in (
        ("00:50", "3.1"), ("01:10", "3.2"), ("01:50", "3.3"), ("01:10", "3.4"), ("01:50", "3.5"), ("02:10", "3.6"),
    )]  # fmt: skip
    found = read("time,temp C\n" + "\n".join(rows) + "\n")
    whens = [when for when, _ in pairs(found)]
    assert [b - a for a, b in pairwise(whens)] == [1200, 2400, 1200, 2400, 1200]
    backwards = read("time,temp C\n" + "\n".join(reversed(rows)) + "\n")
    assert pairs(backwards) == pairs(found)
    assert "newest reading stands first" in backwards.found.notes[0]


def test_a_doubled_hour_that_stands_once_is_refused_with_what_to_do() -> None:
    text = "time,temp C\n2025-11-02 00:50,3.1\n2025-11-02 01:10,3.2\n2025-11-02 02:10,3.3\n"
    (fault,) = read(text).found.faults
    assert fault.line == 3
    assert "showed this hour twice" in fault.says
    assert "--zone" in fault.says
    fixed = read(text, zone="-06:00")
    assert [b - a for (a, _), (b, _) in pairwise(pairs(fixed))] == [1200, 3600]


def test_the_hour_that_spring_skips_is_refused_by_line() -> None:
    (fault,) = read(
        "time,temp C\n2026-03-08 01:50,3.1\n2026-03-08 02:10,3.2\n2026-03-08 03:10,3.3\n"
    ).found.faults
    assert (fault.line, fault.column) == (3, "column 'time'")
    assert "does not exist" in fault.says


def test_a_half_written_last_line_is_left_for_the_next_time() -> None:
    text = "time,temp C\n2026-03-09 05:00,3.8\n2026-03-09 05:01,3"
    found = read(text)
    assert (found.half_line, len(pairs(found))) == (3, 1)
    assert len(pairs(read(text, whole=True))) == 2


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_any_usual_encoding_and_line_end_will_do(encoding: str, end: str) -> None:
    text = f"Zeit;Kühlung °C{end}2026-03-09 05:00;3,8{end}2026-03-09 05:01;3,9{end}"
    found = read(text.encode(encoding))
    assert pairs(found) == [(at("2026-03-09T05:00"), 3_800), (at("2026-03-09T05:01"), 3_900)]


HEAD = "time,temp C\n2026-03-09 04:00,3.7\n"
# a row that cannot be -> the column it is in, and a word of the sentence
BAD_ROWS = {
    "2026-03-09 05:00,x": ("temp C", "not a temperature"),
    "2026-03-09 05:00,3.8.1": ("temp C", "not a temperature"),
    "2026-03-09 05:00,3..8": ("temp C", "not a temperature"),
    "2026-03-09 05:00,0x10": ("temp C", "not a temperature"),
    "2026-03-09 05:00,1e3": ("temp C", "not a temperature"),
    "2026-03-09 05:00,inf": ("temp C", "not a temperature"),
    "2026-03-09 05:00,--3": ("temp C", "not a temperature"),
    "2026-03-09 05:00,3.8 K": ("temp C", "not a temperature"),
    "2026-03-09 05:00,٣": ("temp C", "not a temperature"),
    "2026-03-09 05:00,3.8 F": ("temp C", "is in °F"),
    '2026-03-09 05:00,"3,8"': ("temp C", "decimal comma"),
    "2026-03-09 05:00,-127": ("temp C", "sensor"),
    "2026-03-09 05:00,850": ("temp C", "sensor"),
    "2026-03-09 05:00,9999": ("temp C", "sensor"),
    "2026-03-09 05:00,-40.5": ("temp C", "sensor"),
    "2026-03-09 05:00": ("temp C", "1 column only"),
    "3.8": ("temp C", "1 column only"),
    "x,3.8": ("time", "not a date and time"),
    ",3.8": ("time", "not a date and time"),
    "2026-03-09,3.8": ("time", "not a date and time"),
    "05:00,3.8": ("time", "not a date and time"),
    "2026-03-09 24:00,3.8": ("time", "not a time of day"),
    "2026-03-09 05:60,3.8": ("time", "not a time of day"),
    "2026-03-09 05:00:61,3.8": ("time", "not a time of day"),
    "2026-03-09 5,3.8": ("time", "not a date and time"),
    "2026-03-09 05:0,3.8": ("time", "not a date and time"),
    "2026-03-09 13:00 PM,3.8": ("time", "hour 13"),
    "2026-03-09 00:30 AM,3.8": ("time", "hour 0"),
    "2026-02-30 05:00,3.8": ("time", "no day 30 of month 2"),
    "2026-13-01 05:00,3.8": ("time", "month 13"),
    "2026-00-10 05:00,3.8": ("time", "month 0"),
    "2025-02-29 05:00,3.8": ("time", "no day 29"),
    "1970-01-01 00:00,3.8": ("time", "clock was not set"),
    "2000-01-01 00:00,3.8": ("time", "clock was not set"),
    "9999-12-31 05:00,3.8": ("time", "clock was not set"),
    "2026-03-09 10:20,3.8": ("time", "future"),
    "2027-03-09 05:00,3.8": ("time", "future"),
    "2026-03-08 02:30,3.8": ("time", "does not exist"),
    "2026-03-09 05:00+25:00,3.8": ("time", "offset"),
    "2026-03-09 05:00 EST,3.8": ("time", "not a date and time"),
    "9 Foo 2026 05:00,3.8": ("time", "month 'Foo'"),
    "٢٠٢٦-03-09 05:00,3.8": ("time", "not a date and time"),
    "2026-03-09 04:00,3.9": ("time", "stands in line 2 too"),
    "1773050400,3.8": ("time", "not a date and time"),
    '"2026-03-09 05:00,3.8': ("", "a quote is opened"),
    "2026-03-09 05:00;3.8": ("temp C", "1 column only"),
    "End of data": ("temp C", "1 column only"),
    "time,temp C": ("time", "not a date and time"),
    "2026-03-09\x0005:00,3.8": ("time", "not a date and time"),
    "2026-03-09 05:00,\x1b[31m3.8": ("temp C", "not a temperature"),
}


@pytest.mark.parametrize("row", BAD_ROWS, ids=repr)
def test_a_row_that_cannot_be_is_named_by_line_and_column_and_the_others_stand(row: str) -> None:
    column, word = BAD_ROWS[row]
    content = f"{HEAD}{row}\n2026-03-09 06:00,3.9\n"
    if "\x00" in row:
        with pytest.raises(Refused, match="not a text file"):
            read(content)
        return
    found = read(content)
    (fault,) = found.found.faults
    assert fault.line == 3
    assert column in fault.column
    assert word in fault.says
    assert "\x1b" not in str(fault)
    assert [mc for _, mc in pairs(found)] == [3_700, 3_900]


@pytest.mark.parametrize(
    "content",
    ["", "\n\n", "hello\nworld\n", "a,b\n1,2\n", "\x00\x01", "time,temp\n", "2026-03-09 05:00", "<html>\n"],
)
def test_a_file_without_a_reading_is_refused_in_a_sentence(content: str) -> None:
    with pytest.raises(Refused) as refused:
        read(content)
    assert refused.value.remedy
    assert "logger.csv" in refused.value.message or "line 1" in refused.value.message


def test_a_first_row_cut_before_its_time_is_no_end_of_the_program() -> None:
    content = "200\t39.5\n1772968500\t38.75\n17\n72969400\t1772969400\t1772969400\t38.5\n"
    with pytest.raises(Refused, match=r"line 2, column 4: 38\.5 to 38\.5 may be °C or °F"):
        read(content, whole=True)
    found = read(content, whole=True, unit="C").found
    assert list(found.series.tank_mC) == [38_500]
    assert found.faults


def test_a_column_of_signs_that_only_look_like_digits_counts_no_rows() -> None:
    rows = "".join(f"\u00b2,2026-03-08T05:{15 * at}:00Z,6{at}.5\n" for at in (1, 2, 3))
    found = read(f'no,"Date/Time","Probe 1 (\u00b0F)"\n{rows}', whole=True)
    assert len(found.found.series.read_at) == 3


@pytest.mark.parametrize("filler", ["x", ",", '"', "9"])
def test_an_endless_line_is_refused_by_line(filler: str) -> None:
    with pytest.raises(Refused, match=r"line 3: it is longer than 20,000 letters"):
        read(HEAD + filler * 2_000_000)


def test_rows_without_a_temperature_are_counted_and_left_out() -> None:
    found = read(
        f"{HEAD}2026-03-09 05:00,\n2026-03-09 05:01,---\n2026-03-09 05:02,NaN\n2026-03-09 05:03,3.9\n"
    )
    assert len(pairs(found)) == 2
    assert any("without a temperature, left out: 3" in note for note in found.found.notes)


def test_rows_out_of_order_are_put_in_order_and_said() -> None:
    found = read(
        "time,temp C\n2026-03-09 05:00,3.8\n2026-03-09 05:02,3.9\n2026-03-09 05:01,4\n2026-03-09 05:03,4.1\n"
    )
    assert [mc for _, mc in pairs(found)] == [3_800, 4_000, 3_900, 4_100]
    assert "from line 4 the times go back" in found.found.notes[0]


def test_the_same_row_twice_is_taken_once_and_said() -> None:
    found = read(f"{HEAD}2026-03-09 04:00,3.7\n2026-03-09 05:00,3.8\n")
    assert len(pairs(found)) == 2
    assert "stand twice, taken once: 1" in found.found.notes[0]


def test_a_preamble_remarks_and_other_columns_are_passed_by() -> None:
    found = read(
        "Logger 12\nSite: milk house\n\nNo.,Date,Time,Battery V,Milk temp (F),Humidity %\n"
        "1,03/09/2026,04:00:00,3.6,39.2,55\n# a remark\n\n2,03/09/2026,04:01:00,3.6,39.4,55\n"
    )
    assert pairs(found) == [(at("2026-03-09T04:00"), 4_000), (at("2026-03-09T04:01"), 4_111)]
    assert found.layout.first_line == 5
    assert found.layout.headings[4] == "Milk temp (F)"


def test_a_layout_reads_the_next_file_as_it_read_the_first() -> None:
    first = read("Tag;Milch °C;Innen\n09.03.2026 05:00;3,8;20\n")
    again = read("Tag;Milch °C;Innen\n01.02.2026 05:00;3,8;20\n", **{
        name: getattr(first.layout.as_given(), name) for name in Given.NAMES
    })  # fmt: skip
    assert pairs(again) == [(at("2026-02-01T05:00"), 3_800)]

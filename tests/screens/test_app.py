"""The frame at work: reading, showing, asking, writing, stepping back, in every size."""

from __future__ import annotations

import sqlite3
import threading

import pytest
from rich.text import Text

from herdbook.errors import BookBusy
from herdbook.screens.sheet import wrapped
from herdbook.screens.tank_strip import TankStrip
from tests.waiting import rows, text, until


async def at_work(pilot, app):
    await until(
        pilot, lambda: "Bunk scores" in text(app) and "47.7" in text(app), "the first place to be read"
    )


async def test_the_frame_has_its_rows(barn):
    async with barn.run_test(size=(80, 24)) as pilot:
        await at_work(pilot, barn)
        shown = rows(barn)
        assert shown[0].split() == ["F2", "Today", "F4", "Milk"]
        assert shown[1].split()[:5] == ["TANK", "47.7", "°F", "↓", "!"]
        assert shown[2].startswith(" Tuesday 10 March")
        assert shown[2].endswith("made-up farm")
        assert shown[23].startswith(" Enter open  A alerts")
        assert shown[23].endswith("F1 all keys")


@pytest.mark.parametrize(("size", "classes"), [
    ((60, 20), {"-narrow", "-short"}),
    ((80, 24), {"-home", "-high"}),
    ((120, 40), {"-wide", "-tall"}),
])  # fmt: skip
async def test_a_place_knows_how_much_room_it_has(barn, size, classes):
    async with barn.run_test(size=size) as pilot:
        await at_work(pilot, barn)
        assert classes <= barn.screen.classes
        assert all(len(row) <= size[0] for row in rows(barn))
        assert rows(barn)[size[1] - 1].endswith("F1 all keys")


async def test_the_narrow_strip_uses_the_short_words(barn):
    async with barn.run_test(size=(60, 20)) as pilot:
        await at_work(pilot, barn)
        assert "! slow 45 by 08:14, 68 min" in rows(barn)[1]


async def test_what_another_person_writes_is_seen(barn, book):
    async with barn.run_test(size=(80, 24)) as pilot:
        await pilot.press("f4")
        await until(pilot, lambda: "4 readings" in text(barn), "the tank book")
        with sqlite3.connect(book) as other:
            other.execute("insert into reading values ('07:15', 46900)")
        other.close()
        await until(
            pilot, lambda: "46.9" in rows(barn)[1] and "5 readings" in text(barn), "the other's reading"
        )


async def test_a_place_out_of_view_is_read_again_when_it_comes_back(barn, book):
    async with barn.run_test(size=(80, 24)) as pilot:
        await at_work(pilot, barn)
        await pilot.press("f4")
        await until(pilot, lambda: "4 readings" in text(barn), "the tank book")
        await pilot.press("4", "1", "enter")
        await until(pilot, lambda: "Written: tank 41" in text(barn), "the reading to be written")
        with sqlite3.connect(book) as other:
            other.execute("insert into due values ('09:00', 'Dry-matter test')")
        other.close()
        await pilot.press("f2")
        await until(pilot, lambda: "Dry-matter test" in text(barn), "Today to catch up")


async def test_a_refused_entry_stays_as_typed_with_what_to_do(barn):
    async with barn.run_test(size=(80, 24)) as pilot:
        await pilot.press("f4")
        await until(pilot, lambda: "4 readings" in text(barn), "the tank book")
        await pilot.press("4", "1", "2", "enter")
        await until(pilot, lambda: "No tank is that warm." in text(barn), "the refusal")
        assert rows(barn)[22].startswith(" ! No tank is that warm. Type the temperature in °F.")
        assert "412" in rows(barn)[21]
        assert barn.place.focused is not None


async def test_keys_typed_while_the_pen_is_out_are_kept_for_after(barn, book):
    go = threading.Event()
    async with barn.run_test(size=(80, 24)) as pilot:
        await pilot.press("f4")
        await until(pilot, lambda: "4 readings" in text(barn), "the tank book")

        def slow_chore():
            go.wait(10)
            return "07:20  Written: something slow."

        barn.place.write(slow_chore)
        await pilot.press("3", "9")
        assert "Writing" in rows(barn)[22]
        assert "39" not in rows(barn)[21]
        go.set()
        await until(pilot, lambda: "something slow" in text(barn), "the slow chore")
        await until(pilot, lambda: "39" in rows(barn)[21], "the keys typed meanwhile")


async def test_a_busy_book_is_said_and_nothing_typed_is_lost(barn):
    async with barn.run_test(size=(80, 24)) as pilot:
        await pilot.press("f4")
        await until(pilot, lambda: "4 readings" in text(barn), "the tank book")
        await pilot.press("4", "4")

        def busy():
            raise BookBusy(5)

        barn.place.write(busy)
        await until(pilot, lambda: "Someone else is writing" in text(barn), "the refusal")
        assert "44" in rows(barn)[21]


async def test_leaving_is_asked_and_esc_takes_it_back(barn):
    async with barn.run_test(size=(80, 24)) as pilot:
        await at_work(pilot, barn)
        await pilot.press("escape")
        assert rows(barn)[22].startswith(" Leave?")
        await pilot.press("x", "escape")
        assert "Leave?" not in text(barn)
        await pilot.press("ctrl+q")
        assert rows(barn)[22].startswith(" Leave?")
        await pilot.press("enter")
    assert barn.return_code == 0


async def test_esc_goes_back_one_step_at_a_time(barn):
    async with barn.run_test(size=(80, 24)) as pilot:
        await pilot.press("f4")
        await until(pilot, lambda: "4 readings" in text(barn), "the tank book")
        await pilot.press("h")
        await until(pilot, lambda: "Cow     131" in text(barn), "the slip")
        assert "TANK BOOK" in text(barn)
        assert "Temperature             °F" not in text(barn)
        await pilot.press("f1")
        await until(pilot, lambda: "ALL KEYS" in text(barn), "the list of keys")
        await pilot.press("escape")
        await until(pilot, lambda: "ALL KEYS" not in text(barn), "the list to go")
        assert "Cow     131" in text(barn)
        await pilot.press("escape")
        await until(pilot, lambda: "Cow     131" not in text(barn), "the slip to go")
        assert barn.place.ID == "milk"
        await pilot.press("escape")
        await until(pilot, lambda: barn.place.ID == "today", "Today")


async def test_all_keys_of_a_place_are_listed_page_by_page(barn):
    async with barn.run_test(size=(80, 24)) as pilot:
        await at_work(pilot, barn)
        await pilot.press("f1")
        first = text(barn)
        assert "Names who looks after an alert." in first
        assert "more lines, PgDn" in first
        await pilot.press("pagedown")
        assert "Milk: The tank." in text(barn)


async def test_places_can_be_reached_without_function_keys(barn):
    async with barn.run_test(size=(80, 24)) as pilot:
        await at_work(pilot, barn)
        await pilot.press("j")
        assert "PLACES" in text(barn)
        await pilot.press("2")
        await until(pilot, lambda: "TANK BOOK" in text(barn), "the milk house")


async def test_a_figure_explains_itself(barn):
    async with barn.run_test(size=(80, 24)) as pilot:
        await at_work(pilot, barn)
        await pilot.press("equals_sign")
        assert "line 1 of the explanation" in text(barn)
        await pilot.press("end")
        assert "line 40 of the explanation" in text(barn)


async def test_peoples_text_is_shown_as_it_is(barn):
    async with barn.run_test(size=(80, 24)) as pilot:
        await at_work(pilot, barn)
        await pilot.press("a")
        assert "[@click=app.quit]Alerts[/]" in rows(barn)[22]
        assert "\x1b" not in rows(barn)[22]
        assert "\u202e" not in rows(barn)[22]


async def test_a_draft_comes_back_after_a_cut_line(make_barn, tmp_path):
    kept = tmp_path / "drafts.json"
    first = make_barn(drafts=kept)
    async with first.run_test(size=(80, 24)) as pilot:
        await pilot.press("f4")
        await until(pilot, lambda: "4 readings" in text(first), "the tank book")
        await pilot.press("4", "7", ".", "1")
        first.leave_now(129)
    assert first.return_code == 129
    second = make_barn(drafts=kept)
    async with second.run_test(size=(80, 24)) as pilot:
        await pilot.press("f4")
        await until(pilot, lambda: "47.1" in rows(second)[21], "the draft")


async def test_a_draft_is_kept_soon_after_typing(make_barn, tmp_path):
    kept = tmp_path / "drafts.json"
    barn = make_barn(drafts=kept)
    async with barn.run_test(size=(80, 24)) as pilot:
        await pilot.press("f4")
        await until(pilot, lambda: "4 readings" in text(barn), "the tank book")
        await pilot.press("3", "9")
        await until(pilot, kept.exists, "the draft to be kept")
        await until(pilot, lambda: '"temperature": "39"' in kept.read_text(), "the draft to be whole")


async def test_a_fault_of_the_program_is_not_hidden_from_tests(make_barn):
    barn = make_barn(load_strip=lambda _book: 1 // 0)
    with pytest.raises(ZeroDivisionError):
        async with barn.run_test(size=(80, 24)) as pilot:
            await until(pilot, lambda: barn.crash_report, "the fault")
    assert barn.return_code == 70


@pytest.mark.parametrize(("environ", "skin"), [
    ({"TERM": "xterm-256color"}, "night"),
    ({"TERM": "xterm", "COLORTERM": "truecolor"}, "night"),
    ({"TERM": "xterm"}, "sixteen"),
    ({"TERM": "linux"}, "sixteen"),
    ({"TERM": "vt220"}, "none"),
    ({"TERM": "xterm-256color", "NO_COLOR": "1"}, "none"),
])  # fmt: skip
async def test_colours_follow_the_terminal(make_barn, monkeypatch, environ, skin):
    for name, value in environ.items():
        monkeypatch.setenv(name, value)
    barn = make_barn(environ)
    async with barn.run_test(size=(80, 24)) as pilot:
        await at_work(pilot, barn)
        assert barn.skin == skin
        assert "! too slow" in rows(barn)[1]


async def test_without_colour_a_badge_is_turned_over(make_barn, monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    barn = make_barn({"TERM": "xterm-256color", "NO_COLOR": "1"})
    async with barn.run_test(size=(80, 24)) as pilot:
        await at_work(pilot, barn)
        strips = barn.screen._compositor.render_strips()
        badge = next(segment for segment in strips[1] if "too slow" in segment.text)
        assert badge.style.reverse
        for strip in strips:
            for segment in strip.apply_filter(barn._filters[-1], barn.screen.background_colors[1]):
                assert segment.style.color is None or segment.style.color.is_default


async def test_the_plain_console_is_sent_ascii_only(make_barn):
    barn = make_barn({"TERM": "linux"})
    async with barn.run_test(size=(80, 24)) as pilot:
        await at_work(pilot, barn)
        await pilot.press("f1")
        assert set(text(barn)) - {"°"} <= {chr(code) for code in range(32, 127)} | {"\n"}


LATE = TankStrip(
    reading="47.7 °F",
    trend="falling",
    level="late",
    deadline="45 °F was due 08:14, 9 min ago",
    deadline_short="45 by 08:14, 9 min ago",
    due=5,
    alerts=3,
    at="08:23",
)


@pytest.mark.parametrize("width", [60, 80, 120])
async def test_a_late_tank_takes_the_whole_row_and_is_never_cut(make_barn, width):
    barn = make_barn(load_strip=lambda _book: LATE)
    async with barn.run_test(size=(width, 24)) as pilot:
        await until(pilot, lambda: "!! LATE" in rows(barn)[1], "the late row")
        assert "08:14, 9 min ago" in rows(barn)[1]
        assert "…" not in rows(barn)[1]
        (row,) = (strip for strip in [barn.screen._compositor.render_strips()[1]])
        assert len({segment.style.bgcolor for segment in row}) == 1


@pytest.mark.parametrize(("strip", "words"), [
    (TankStrip(at="07:06"), "TANK no reading yet"),
    (TankStrip(reading="39.1 °F", level="calm"), "TANK 39.1 °F"),
    (TankStrip(reading="41.0 °F", level="ok"), "41.0 °F  ok"),
    (TankStrip(reading="47.7 °F", level="unknown", badge="read it", deadline="last"), "? ! read it  last"),
    (TankStrip(reading="4.1 °C", due=1, alerts=1), "1 due  1 alert"),
])  # fmt: skip
async def test_the_strip_says_what_is_known(make_barn, strip, words):
    barn = make_barn(load_strip=lambda _book: strip)
    async with barn.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: words in rows(barn)[1], f"the words {words!r}")


def test_a_long_explanation_is_wrapped_under_its_text():
    lines = wrapped(Text("   Ctrl+S      Writes what was typed in the book, and says so."), 40)
    assert [line.plain for line in lines] == [
        "   Ctrl+S      Writes what was typed in",
        "               the book, and says so.",
    ]

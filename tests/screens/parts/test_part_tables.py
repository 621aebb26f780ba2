"""The light table and the ledger: choosing, columns that give way, words about what is out of view."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from parts_stage import HOSTILE, Stage, shown
from rich.text import Text

from herdbook.screens.parts.ledger import Ledger, LedgerEntry
from herdbook.screens.parts.rows_table import Column, Row, RowsTable, laid_out, window_of
from herdbook.screens.parts.signs import PLAIN

COLUMNS = [
    Column("Pen", 8, grows=True),
    Column("Cows", 5, "right", role="dust", from_width=40),
    Column("Ask lb", 8, "right"),
]


def pens(count: int) -> list[Row]:
    return [Row(f"p{at}", [f"Pen {at}", str(at), f"{at * 1000:,}"]) for at in range(count)]


async def test_numbers_stand_at_the_right_and_the_chosen_row_has_its_sign():
    table = RowsTable(COLUMNS, pens(3), noun="pens")
    async with Stage(table).run_test(size=(44, 10)) as pilot:
        assert shown(table)[0].split() == ["Pen", "Cows", "Ask", "lb"]
        assert shown(table)[1].startswith(" ▸ Pen 0")
        assert shown(table)[3].endswith("2,000")
        await pilot.press("down", "down", "down")
        assert table.chosen == "p2"
        assert shown(table)[3].startswith(" ▸ Pen 2")


async def test_moving_and_enter_are_told():
    table = RowsTable(COLUMNS, pens(3))
    app = Stage(table)
    async with app.run_test(size=(44, 10)) as pilot:
        await pilot.press("down", "enter", "up", "up", "x")
        assert [(type(m).__name__, m.key) for m in app.sent] == [
            ("Moved", "p1"),
            ("Opened", "p1"),
            ("Moved", "p0"),
        ]
        assert app.left_keys == ["x"]


async def test_what_is_out_of_view_is_said_and_page_down_goes_there():
    table = RowsTable(COLUMNS, pens(9), noun="pens")
    async with Stage(table).run_test(size=(44, 6)) as pilot:
        assert shown(table)[5].strip() == "5 more pens, PgDn"
        await pilot.press("pagedown", "pagedown", "pagedown")
        assert table.chosen == "p8"
        assert shown(table)[5].strip() == "5 pens above, PgUp"
        await pilot.press("home")
        assert table.chosen == "p0"
        await pilot.press("end")
        assert table.chosen == "p8"


async def test_the_chosen_row_stays_chosen_when_rows_come_before_it():
    table = RowsTable(COLUMNS, pens(4))
    async with Stage(table).run_test(size=(44, 10)) as pilot:
        table.choose("p2")
        table.show([Row("new", ["New", "1", "2"]), *pens(4)])
        await pilot.pause()
        assert table.chosen == "p2"
        table.show(pens(2))
        assert table.chosen == "p1"
        table.show([])
        assert table.chosen is None


async def test_a_table_that_follows_is_never_in_focus_but_moves_when_told():
    table = RowsTable(COLUMNS, pens(4), follows=True)
    app = Stage(table)
    async with app.run_test(size=(44, 10)) as pilot:
        assert app.focused is None
        assert table.step(2)
        assert not table.step(9) or table.chosen == "p3"
        await pilot.pause()
        assert table.chosen == "p3"


async def test_an_empty_table_says_what_is_missing():
    table = RowsTable(COLUMNS, [], empty="No load started. Enter starts load 1.")
    async with Stage(table).run_test(size=(60, 6)) as pilot:
        assert shown(table)[1].strip() == "No load started. Enter starts load 1."
        await pilot.press("down", "enter", "pagedown")


async def test_moving_the_cursor_touches_two_rows_only(monkeypatch):
    table = RowsTable(COLUMNS, pens(8))
    async with Stage(table).run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        rows = set()
        refresh = RowsTable.refresh
        monkeypatch.setattr(
            RowsTable,
            "refresh",
            lambda self, *r, **m: (rows.update(one.y for one in r), refresh(self, *r, **m))[1],
        )
        table.step(1)
        assert rows == {1, 2}


async def test_hostile_cells_are_shown_as_text():
    rows = [Row(str(at), [text, text, Text(text)], sign=text) for at, text in enumerate(HOSTILE)]
    table = RowsTable(COLUMNS, rows, signed=True)
    async with Stage(table).run_test(size=(80, 12)):
        assert all(line.isprintable() for line in shown(table))
        assert "[red]x[/red]" in shown(table)[2]


@given(width=st.integers(1, 140))
def test_columns_never_take_more_than_the_table_has(width):
    widths = laid_out(COLUMNS, width)
    assert widths[0][0] == 0
    if len(widths) > 1:
        assert sum(cells for _, cells in widths) + 2 * (len(widths) - 1) <= width
    if width < 40:
        assert all(COLUMNS[at].title != "Cows" for at, _ in widths)


@given(
    count=st.integers(1, 200),
    chosen=st.integers(0, 199),
    first=st.integers(-5, 250),
    height=st.integers(1, 40),
)
def test_the_chosen_row_is_always_in_view_and_every_row_is_counted(count, chosen, first, height):
    chosen = min(chosen, count - 1)
    window = window_of(count, chosen, first, height)
    assert window.first <= chosen < window.last
    assert 0 <= window.first <= window.last <= count
    assert window.last - window.first + window.words <= max(height, 2)
    assert window.words == (count > height)


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (40, 10), (12, 4), (3, 2)])
@pytest.mark.parametrize("signs", [PLAIN, None])
async def test_a_table_survives_any_size(size, signs):
    table = RowsTable(COLUMNS, pens(30), signed=True)
    app = Stage(table, **({"signs": signs} if signs else {}))
    async with app.run_test(size=size) as pilot:
        await pilot.press("down", "pagedown", "end")
        assert table.chosen == "p29"
        assert all(len(line) <= size[0] for line in shown(table))


# -- ledger --

ENTRIES = [
    LedgerEntry("9", "07:06", "Temperature", "47.7 °F", "milk house"),
    LedgerEntry("8", "06:45", "Temperature", "48.4 °F, corrects 43.4", "milk house", "corrects"),
    LedgerEntry("7", "06:45", "Temperature", "43.4 °F", "milk house", "struck"),
    LedgerEntry("6", "04:05–06:14", "Milking", "4,310 lb, 105 cows, 2 held out, one slow " * 3, "milk house"),
]


async def test_corrections_and_struck_entries_stay_with_their_marks():
    ledger = Ledger(ENTRIES)
    async with Stage(ledger).run_test(size=(80, 8)) as pilot:
        lines = shown(ledger)
        assert lines[1].startswith("  c 06:45")
        assert lines[2].startswith("  × 06:45")
        assert lines[0].endswith("milk house")
        struck = [segment.text for segment in ledger.render_line(2) if segment.style and segment.style.strike]
        assert "Temperature" in "".join(struck)
        await pilot.press("down")
        assert ledger.chosen_entry == ENTRIES[1]


async def test_a_long_entry_ends_in_the_sign_for_more_and_who_goes_on_narrow_screens():
    ledger = Ledger(ENTRIES)
    async with Stage(ledger).run_test(size=(60, 8)):
        assert shown(ledger)[3].endswith("…")
        assert "milk house" not in shown(ledger)[0]


async def test_what_was_written_stays_in_view_on_the_narrowest_screen():
    ledger = Ledger(ENTRIES)
    async with Stage(ledger).run_test(size=(40, 8)):
        assert "Temperature  47.7 °F" in shown(ledger)[0]


async def test_hostile_entries_are_shown_as_text():
    ledger = Ledger([LedgerEntry(str(at), "07:06", "Note", text, text) for at, text in enumerate(HOSTILE)])
    async with Stage(ledger).run_test(size=(80, 12)):
        assert all(line.isprintable() for line in shown(ledger))
        assert "[red]x[/red] [/] [" in shown(ledger)[1]


async def test_an_empty_ledger_says_so():
    ledger = Ledger([], empty="Nothing written yet.")
    async with Stage(ledger).run_test(size=(80, 4)):
        assert shown(ledger)[0].strip() == "Nothing written yet."

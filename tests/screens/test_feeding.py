"""Feeding: the scale's running total feed by feed, what is off, doubts, loads, drops and refusals."""

from __future__ import annotations

import pytest

from tests.screens.desks import (
    SMALL,
    go,
    program,
    rows,
    said,
    seated,
    shown,
    text,
    type_in,
    until,
    write_it,
)
from tests.yard import CLEO, DAY


def row_of(app, name):
    """The first row of the body that names it."""
    return next(row for row in rows(app)[3:] if name in row)


def pen_row(app, name):
    """The row of a pen."""
    page = rows(app)
    at = next(at for at, row in enumerate(page) if "PENS TODAY" in row)
    return next(row for row in page[at + 1 :] if name in row)


async def test_a_load_is_weighed_in_by_the_scales_total_and_what_is_off_is_marked(yard):
    yard.do("load", pen="High")
    app = program(yard, CLEO)
    async with seated(app, "feeding") as (pilot, feeding):
        await shown(pilot, "Load 2 of 2")
        await shown(pilot, "Corn silage to 2,675 lb")  # 17.3 lb / 0.336 x 52 = 2,677, in steps of 5
        await type_in(pilot, "2675")
        await shown(pilot, "Mineral mix to 2,715 lb")  # 0.8 lb x 52 = 41.6, in steps of 5
        await pilot.press(*"2725")
        await shown(pilot, "Mineral mix 50 lb, ! +10 lb")
        await pilot.press("enter")
        await shown(pilot, "Load is in")
        await until(pilot, lambda: "! +10" in row_of(app, "Mineral mix"), "what is off in its row")
        assert feeding.scale.text == ""


async def test_ten_times_too_much_is_asked_about_and_written_on_the_second_enter(yard):
    yard.do("load", pen="High")
    app, entries = program(yard, CLEO), yard.entries
    async with seated(app, "feeding") as (pilot, _):
        await pilot.press(*"26800")
        await shown(pilot, "ten times 2,675 lb?")
        await pilot.press("enter")
        await pilot.pause()
        assert yard.entries == entries
        await pilot.press("enter")
        await shown(pilot, "Written: Load 2, Corn silage, 26,800 lb")


async def test_a_scale_that_reads_less_than_is_in_is_refused_with_what_was_typed_kept(yard):
    yard.do("load", pen="High")
    yard.do("weigh", load="2", feed="corn", scale="2675")
    app, entries = program(yard, CLEO), yard.entries
    async with seated(app, "feeding") as (pilot, feeding):
        await type_in(pilot, "2000")
        await shown(pilot, "2,675 lb is in already")
        assert feeding.scale.text == "2000"
    assert yard.entries == entries


async def test_l_offers_the_pen_that_comes_next(yard):
    yard.now_s += DAY
    app = program(yard, CLEO)
    async with seated(app, "feeding", SMALL) as (pilot, _):
        await pilot.press("l")
        await type_in(pilot, "")  # as offered
        assert "Load 1, High, 52 cows" in await write_it(pilot)


async def test_r_writes_what_was_weighed_back_of_the_day_before(yard):
    yard.now_s += DAY
    app = program(yard, CLEO)
    async with seated(app, "feeding") as (pilot, _):
        await pilot.press("r")
        await type_in(pilot, "", "84")
        assert "High refused 84 lb of 2026-03-09" in await write_it(pilot)
        assert "84" in pen_row(app, "High ")
        assert "3.2 %" in pen_row(app, "High ")  # 84 of 2,600 lb


async def test_c_corrects_the_weight_of_the_chosen_feed_and_x_strikes_it(yard):
    app = program(yard, CLEO)
    async with seated(app, "feeding") as (pilot, _):
        await pilot.press("up", "up", "c")
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        assert app.place.slip.form.chore == "weigh"
        await pilot.press("escape", "x")
        await shown(pilot, "Strikes Load 1, Corn silage")
        await type_in(pilot, "wrong load")
        assert "Struck entry" in await write_it(pilot)
        await until(pilot, lambda: "–" in row_of(app, "Corn silage"), "the weight to be gone")


@pytest.mark.parametrize(("key", "pounds"), [("enter", 55), ("escape", 45)])
async def test_after_a_corrected_reading_enter_moves_the_next_feed_and_esc_leaves_it(yard, key, pounds):
    yard.do("weigh", load="1", feed="mineral", scale="2735", weighed="-170")
    app = program(yard, CLEO)
    async with seated(app, "feeding") as (pilot, _):
        first = int(yard.row("SELECT min(number) AS n FROM entry WHERE chore = 'weigh'")["n"])
        app.place.correct_number(first)
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        await pilot.press("enter", "enter", *["backspace"] * 12, *"2680", "ctrl+s")
        await shown(pilot, "Reads 55 lb, not 45 lb: Mineral mix, move it?")
        await pilot.press(key)
        if key == "enter":
            await shown(pilot, "Written: Load 1, Mineral mix, 55 lb")
    (row,) = yard.rows(
        "SELECT loaded_g, scale_g, person FROM load_weight JOIN entry ON number = entry "
        "WHERE struck_by IS NULL AND loaded_g < 100000"
    )
    assert round(row["loaded_g"] / 453.59237) == pounds
    assert round(row["scale_g"] / 453.59237) == 2735


async def test_many_pens_are_counted_and_paged(yard):
    for number in range(14):
        yard.do("pen", name=f"Pen {number:02}", head="10")
    app = program(yard, CLEO)
    async with seated(app, "feeding", SMALL) as (pilot, _):
        await shown(pilot, "more pens, PgDn")
        await pilot.press("pagedown", "pagedown", "pagedown")
        await shown(pilot, "Pen 13")
        await pilot.press("pageup", "pageup", "pageup")
        await shown(pilot, "more pens, PgDn")


async def test_a_day_gone_by_while_the_screen_rested_is_seen_on_arrival(yard):
    app = program(yard, CLEO)
    async with seated(app, "feeding") as (pilot, _):
        await shown(pilot, "Load 1 of 1")
        await go(pilot, "today")
        yard.now_s += DAY
        await go(pilot, "feeding")
        await shown(pilot, "no load begun today")
        await pilot.press("d")
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        assert app.place.slip.texts["load"] == ""
        assert "error" not in said(pilot)
        assert "Tuesday" in text(app) or await go(pilot, "today")

"""At the mixer: what could poison stops for Y, another feed's weight is asked about, and what is read beside a feed."""

from __future__ import annotations

from tests.screens.desks import (
    SMALL,
    go,
    program,
    rows,
    seated,
    settled,
    shown,
    text,
    type_in,
    until,
    write_it,
)
from tests.yard import CLEO, DAY


async def test_ten_times_the_mineral_is_written_only_with_y(yard):
    yard.do("load", pen="High")
    yard.do("weigh", load="2", feed="corn", scale="2675")
    app, entries = program(yard, CLEO), yard.entries
    async with seated(app, "feeding") as (pilot, _):
        await shown(pilot, "Tenfold is poison.")  # the feed's own caution, before it goes in
        await type_in(pilot, "3075")  # 400 lb where 40 are planned
        await shown(pilot, "Mineral mix 400 lb: ten times 40 lb. Write it?")
        await pilot.press("enter", "enter")
        await pilot.pause()
        assert yard.entries == entries
        await pilot.press("y")
        await shown(pilot, "Written: Load 2, Mineral mix, 400 lb")
    assert yard.entries == entries + 1


async def test_escape_at_that_question_leaves_the_number_to_be_put_right(yard):
    yard.do("load", pen="High")
    yard.do("weigh", load="2", feed="corn", scale="2675")
    app, entries = program(yard, CLEO), yard.entries
    async with seated(app, "feeding") as (pilot, feeding):
        await type_in(pilot, "3075")
        await shown(pilot, "Write it?")
        await pilot.press("escape")
        await until(pilot, lambda: feeding.scale.has_focus, "the cursor in the field")
        assert feeding.scale.text == "3075"
    assert yard.entries == entries


async def test_a_key_held_down_does_not_take_one_target_after_the_other(yard):
    yard.now_s += DAY
    app, entries = program(yard, CLEO), yard.entries
    async with seated(app, "feeding") as (pilot, _):
        await pilot.press(*["enter"] * 12)
        await settled(pilot)
        assert yard.entries == entries + 1


async def test_a_pen_counted_anew_since_its_load_was_begun_is_said(yard):
    yard.do("load", pen="High")
    yard.now_s += 60
    yard.do("head", pen="High", head="47")
    app = program(yard, CLEO)
    async with seated(app, "feeding") as (pilot, _):
        await shown(pilot, "! 47 cows now")


async def test_a_bunk_is_scored_beside_its_scales_own_words(yard):
    app = program(yard, CLEO)
    async with seated(app, "feeding", SMALL) as (pilot, _):
        await pilot.press("b")
        await shown(pilot, "thin layer, 5 to 10 %")
        await type_in(pilot, "", "2")
        assert "bunk 2 on the dairy scale" in await write_it(pilot)


async def test_a_cow_off_feed_stands_under_the_pens_and_is_looked_at_and_closed_from_today(yard):
    yard.do("walk", cow="214", what="off feed", pen="High")
    app = program(yard, CLEO)
    async with seated(app, "feeding") as (pilot, _):
        await shown(pilot, "! 214 High, since 10:00")
        today = await go(pilot, "today")
        line = next(row.key for row in today.due.rows if "cow 214" in str(row.cells[1]))
        today.due.choose(line)
        await pilot.press("enter")
        await until(pilot, lambda: app.place.ID == "feeding" and app.place.slip is not None, "her slip")
        assert app.place.slip.texts["cow"] == "214"
        await pilot.press("escape")
        today = await go(pilot, "today")
        today.due.choose(line)
        await pilot.press("k")
        await type_in(pilot, "", "eats again")
        assert "is closed: eats again" in await write_it(pilot)
        await until(pilot, lambda: "cow 214" not in text(app), "her line to go")


async def test_the_signs_that_mean_call_the_veterinarian_are_listed(yard):
    app = program(yard, CLEO)
    async with seated(app, "feeding") as (pilot, _):
        await pilot.press("v")
        await shown(pilot, "down and cannot get up")
        assert any("gives no diagnosis" in row for row in rows(app))


async def test_a_long_load_on_a_small_screen_shows_the_feed_it_is_at_and_is_paged(yard):
    names = [f"Part {letter}" for letter in "ABCDEFGHI"]
    for name in names:
        yard.do("feed", name=name, kind="grain")
        yard.do("analysis", feed=name, dry="88", value="cp=9")
    yard.do("ration", name="High 1", item=[f"{name}=2" for name in names])
    yard.do("load", pen="High")
    app = program(yard, CLEO)
    async with seated(app, "feeding", SMALL) as (pilot, feeding):
        await shown(pilot, "more feeds, PgDn")
        await pilot.press("pagedown", "pagedown")
        await shown(pilot, "Part I to")
        assert any(row.startswith("▸") and "Part I" in row for row in rows(app))
        await pilot.press("escape", "r")
        await until(pilot, lambda: feeding.slip is not None, "the slip")
        await pilot.press("escape")
        await shown(pilot, "Part A to")


async def test_no_heading_stands_without_its_pens_over_a_slip_on_a_small_screen(yard):
    app = program(yard, CLEO)
    async with seated(app, "feeding", SMALL) as (pilot, feeding):
        await shown(pilot, "PENS TODAY")
        await pilot.press("r")
        await until(pilot, lambda: feeding.slip is not None, "the slip")
        await until(pilot, lambda: "PENS TODAY" not in text(app), "the pens to give way")
        await pilot.press("escape")
        await shown(pilot, "PENS TODAY")

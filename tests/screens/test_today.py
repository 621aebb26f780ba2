"""Today: what is due and where it is done, the alarm, first steps; and what holds for every place of the book."""

from __future__ import annotations

import pytest

from herdbook.screens import keys
from tests.screens.desks import (
    HOME,
    LARGE,
    SMALL,
    go,
    program,
    rows,
    settled,
    shown,
    text,
    type_in,
    until,
    write_it,
)
from tests.spoiled import harmful, spoil
from tests.yard import ADA, CLEO, DOV, HOUR

PLACES = ("today", "feeding", "milk", "ration", "week")


@pytest.mark.parametrize("size", [SMALL, HOME, LARGE], ids=["60x20", "80x24", "120x40"])
async def test_hostile_names_are_shown_harmlessly_in_every_place_and_its_sheets(yard, size):
    yard.do("pickup", weight="4300", ticket="A1", hauler="Fen")
    yard.book.close()
    spoil(yard.path)
    app = program(yard)
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        seen = 0
        for place in PLACES:
            await go(pilot, place)
            for key in ("", "equals_sign", "f1", "w", "o", "l", "a", "p", "d"):
                if key:
                    await pilot.press(key)
                    await settled(pilot)
                page = text(app)
                assert not harmful(page)
                seen += "[bold red]Boo" in page
                await pilot.press("escape")
                await pilot.pause()
                if app.place.say_line.asking:  # Esc on Today asks whether to leave
                    await pilot.press("escape")
                if place != app.place.ID:
                    await go(pilot, place)
        assert seen >= len(PLACES)


@pytest.mark.parametrize("size", [SMALL, HOME, LARGE], ids=["60x20", "80x24", "120x40"])
async def test_every_place_keeps_its_frame_at_every_size_and_after_a_change_of_size(yard, size):
    app = program(yard)
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        for place in PLACES:
            await go(pilot, place)
            page = rows(app)
            assert len(page) == size[1]
            assert keys.place_key(place).title in page[0]
            assert page[1].strip()
            assert page[-1].endswith("F1 all keys")
        await pilot.resize_terminal(70, 21)
        await until(pilot, lambda: len(rows(app)) == 21, "the other size")
        for place in PLACES:
            await go(pilot, place)
            assert rows(app)[-1].endswith("F1 all keys")


async def test_an_empty_book_says_in_every_place_what_to_do_next(bare_yard):
    app = program(bare_yard)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        for place, words in (
            ("today", "Write a pen"),
            ("feeding", "There is no pen yet. W writes one."),
            ("milk", "there is no tank yet, W writes one"),
            ("ration", "F writes the first feed"),
            ("week", "Nothing is written this week yet: F3 feeds, F4 milks."),
        ):
            await go(pilot, place)
            await shown(pilot, words)


async def test_each_key_of_the_keys_line_does_something(yard):
    app = program(yard)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        for place in PLACES:
            screen = await go(pilot, place)
            for key in (*screen.KEYS, *keys.EVERYWHERE):
                if key.id in ("all.back", "all.leave", "all.redraw", "all.write"):
                    continue
                before = text(app)
                await pilot.press(key.press.partition(",")[0])
                await until(pilot, lambda: not app.place.holds_keys, "the key to have been taken")
                await pilot.pause()
                alone = key.id.endswith((".before", ".after", ".pages", ".up")) or key.press == "enter"
                assert alone or text(app) != before, f"{place}: {key.label} did nothing"
                for _ in range(3):
                    if app.place.slip_is_open or app.place.sheet.is_open:
                        await pilot.press("escape")
                        await pilot.pause()
                if place != app.place.ID:
                    await go(pilot, place)
                screen.say("")


async def test_every_key_on_the_keys_line_is_bound_in_its_place_or_everywhere():
    from importlib import import_module

    for place in keys.PLACES:
        module, _, name = place.module.partition(":")
        made = getattr(import_module(f"herdbook.screens.{module}"), name)()
        bound = {key.label for key in (*made.KEYS, *keys.EVERYWHERE, *keys.MOVES)} | {"←→"}
        assert {label for label, _ in made.keys_line()} <= bound
        assert len(made.keys_line()) <= keys.AT_MOST


async def test_find_goes_to_a_line_that_holds_the_words_and_on_to_the_next(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        for place, words, attribute in (
            ("milk", "milking", "ledger"),
            ("ration", "ca ", "figures"),
            ("week", "ship", "lines"),
            ("feeding", "miner", "feeds"),
        ):
            screen = await go(pilot, place)
            await pilot.press("slash", *("space" if letter == " " else letter for letter in words))
            await shown(pilot, f"with “{words.strip()}”")
            table = getattr(screen, attribute)
            row = next(row for row in table.rows if row.key == table.chosen)
            cells = " ".join(str(getattr(cell, "plain", cell)) for cell in row.cells)
            assert words.strip() in cells.lower()
            await pilot.press("escape", "escape")
            await until(pilot, lambda: not app.place.slip_is_open, "the search to be closed")
        await pilot.press("slash", *"nosuch")
        await shown(pilot, "No line holds “nosuch”.")


async def test_why_explains_a_figure_in_every_place_that_has_one(yard):
    app = program(yard, DOV)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        for place in PLACES:
            await go(pilot, place)
            await pilot.press("equals_sign")
            await shown(pilot, "rule, source and entries behind it")
            await pilot.press("escape")


async def test_what_is_due_opens_where_it_is_done(yard):
    yard.do("milking", started="-30")
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "today")
        await shown(pilot, "Write the end of the milking")
        today = app.place
        line = next(row.key for row in today.due.rows if "end of the milking" in str(row.cells[1]))
        today.due.choose(line)
        await pilot.press("enter")
        await until(
            pilot, lambda: app.place.ID == "milk" and app.place.slip is not None, "the slip in the milk house"
        )
        assert app.place.slip.form.chore == "milked"


async def test_a_reading_of_the_tank_is_written_from_today(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await pilot.press("t")
        await type_in(pilot, "38.4")
        assert "38.4 °F" in await write_it(pilot)
        await until(pilot, lambda: "38.4 °F" in rows(app)[1], "the strip to follow")


async def test_alerts_are_wrapped_and_what_has_no_room_is_counted(yard):
    for number in range(6):
        yard.now_s += HOUR // 60
        yard.do("load", pen="High")
        yard.do("weigh", load=str(number + 2), feed="corn", scale="5,000")
    app = program(yard)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        await until(pilot, lambda: "more, A shows all" in text(app), "the count of the others")
        await pilot.press("a")
        await shown(pilot, "Load 7")


async def test_a_made_up_farm_says_so_on_the_screen(tmp_path):
    from tests.yard import Yard

    yard = Yard.started(tmp_path / "farm.book", invented="yes")
    yard.book.close()
    app = program(yard, ADA)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        assert "(made up)" in rows(app)[2]

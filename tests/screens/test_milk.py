"""The milk house: the alarm on the strip, its own clock and Today; the bell; readings, and the entry behind a line."""

from __future__ import annotations

import pytest

from tests.screens.desks import HOME, SMALL, go, program, rows, settled, shown, text, type_in, until
from tests.yard import CLEO, HOUR, MINUTE, Yard

SLOW, LATE = "! too slow", "!! LATE"


def warm_milking(yard: Yard) -> None:
    """A milking that ended 20 minutes ago into an emptied tank, and one reading of 62 °F just after it."""
    yard.now_s += 4 * HOUR
    yard.do("pickup", weight="4300", picked="-150")
    yard.do("milking", started="-140", ended="-20", cows="50", milk="4000")
    yard.do("temperature", reading="62", read="-15")


async def read(pilot, reading):
    """Type a reading in the milk house."""
    await type_in(pilot, reading)
    await shown(pilot, f"Written: North {reading}")
    await settled(pilot)


def rung(app):
    """Count the bell from here on."""
    count = []
    app.bell = lambda: count.append(1)
    return count


@pytest.mark.parametrize("size", [SMALL, HOME], ids=["60x20", "80x24"])
async def test_warm_readings_turn_strip_milk_house_and_today_to_too_slow_and_then_to_late(yard, size):
    warm_milking(yard)
    app = program(yard, CLEO)
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        bells = rung(app)
        await go(pilot, "milk")
        assert "slow" not in text(app)
        await read(pilot, "61.5")
        await until(pilot, lambda: "slow" in rows(app)[1], "the strip")
        assert any(SLOW in row for row in rows(app)[3:])
        assert bells == [1]
        await go(pilot, "today")
        await shown(pilot, "Cooling too slowly: 45 °F")
        yard.now_s += 2 * HOUR
        await pilot.press("ctrl+l")
        await until(pilot, lambda: LATE in rows(app)[1], "the strip to be late")
        await shown(pilot, "Too warm: 45 °F")
        assert bells == [1, 1]
        await go(pilot, "milk")
        assert any(LATE in row for row in rows(app)[3:])


async def test_the_bell_is_silent_where_the_settings_say_so(yard):
    warm_milking(yard)
    app = program(yard, CLEO, bell=False)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        bells = rung(app)
        await go(pilot, "milk")
        await read(pilot, "61.5")
        await until(pilot, lambda: SLOW in rows(app)[1], "the strip")
        assert bells == []


async def test_a_quick_tank_is_ok_and_nothing_is_said_of_it(yard):
    warm_milking(yard)
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        await read(pilot, "52")  # ten degrees in a quarter of an hour
        await until(pilot, lambda: "52.0" in rows(app)[1], "the strip")
        assert "slow" not in text(app)
        await go(pilot, "today")
        assert "too slowly" not in text(app)


async def test_milk_above_the_blend_limit_after_the_first_milking_is_late_at_once(yard):
    yard.do("milking", started="-10")
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        await read(pilot, "50.5")
        await until(pilot, lambda: LATE in rows(app)[1], "the strip")


async def test_a_reading_exactly_at_the_blend_limit_passes(yard):
    yard.do("milking", started="-10")
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        await read(pilot, "50")
        await until(pilot, lambda: "50.0" in rows(app)[1], "the strip")
        assert LATE not in text(app)


async def test_a_new_milking_shows_no_temperature_of_milk_that_is_gone(yard):
    yard.do("pickup", weight="4300", picked="-15")
    yard.do("milking", started="-10")
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await until(pilot, lambda: "no reading yet" in rows(app)[1], "the strip")
        assert "39.2" not in rows(app)[1]


async def test_what_is_typed_is_read_back_and_wrong_text_stays_as_it_is(yard):
    app, entries = program(yard, CLEO), yard.entries
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        await pilot.press(*"4o")
        await shown(pilot, "Temperature 4o")
        await until(pilot, lambda: "!" in rows(app)[-3], "the badge")
        await pilot.press("enter")
        assert "4o" in rows(app)[-3]
        await pilot.press("escape", *"38.1")
        await shown(pilot, "38.1 °F at 10:00")
    assert yard.entries == entries


async def test_m_begins_a_milking_and_then_ends_it(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        await pilot.press("m")
        await shown(pilot, "A MILKING")
        await pilot.press("ctrl+s")
        await shown(pilot, "Written: Milking from 10:00")
        await settled(pilot)
        yard.now_s += 90 * MINUTE
        await pilot.press("m")
        await shown(pilot, "THE END OF A MILKING")
        await type_in(pilot, "", "104")
        await pilot.press("ctrl+s")
        await shown(pilot, "Written: Milking 10:00 to 11:30, 104 cows")


async def test_the_newest_line_is_chosen_after_writing_and_the_entry_opens_whole(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        milk = await go(pilot, "milk")
        await pilot.press("down", "down")
        await read(pilot, "38.3")
        assert milk.ledger.chosen == str(yard.entries)
        await pilot.press("o")
        await shown(pilot, f"ENTRY {yard.entries}")
        await shown(pilot, "by Cleo, temperature")


async def test_what_others_write_appears_and_leaves_what_is_being_typed_alone(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        milk = await go(pilot, "milk")
        await pilot.press("3", "8")
        yard.do("temperature", reading="39.9")
        await shown(pilot, "39.9 °F")
        assert milk.temperature.text == "38"


async def test_held_milk_is_named_in_the_milk_house_and_on_the_slip_of_a_milking(yard):
    yard.do("treatment", cow="412", drug="A tube", milk="96", meat="0", hours_from="label", given="-30")
    app = program(yard, CLEO)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        await shown(pilot, "Milk stays out: cow 412 until Fri 13 Mar 09:30")
        await pilot.press("m")
        await shown(pilot, "A MILKING")
        assert text(app).count("Milk stays out: cow 412") == 2
        await pilot.press("escape")


async def test_h_writes_a_treatment_and_shows_what_is_held_back(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        await pilot.press("h")
        await shown(pilot, "Show what is held back")
        await pilot.press("2")
        await shown(pilot, "A TREATED COW")
        await type_in(pilot, "412", "A tube", "96", "4 d", "label")
        await pilot.press("ctrl+s")
        await shown(pilot, "Written: Cow 412: A tube")
        await settled(pilot)
        await pilot.press("h", "1")
        await shown(pilot, "milk out until Fri 13 Mar 10:00, 96 h by the label")


async def test_a_blocked_tank_refuses_the_pickup_on_its_slip(yard):
    yard.do("held-milk-in", cow="412", went="-10")
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        await shown(pilot, "North is blocked: held milk of cow 412")
        entries = yard.entries
        await pilot.press("p")
        await shown(pilot, "A MILK PICKUP")
        await type_in(pilot, "4000")
        await pilot.press("ctrl+s")
        await shown(pilot, "Call your buyer")
        await until(pilot, lambda: not app.screen.writing, "the refusal")
        assert yard.entries == entries


async def test_a_reading_by_hand_is_a_place_key_the_number_and_enter(yard):
    app, entries = program(yard, CLEO), yard.entries
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await pilot.press("f4", *"38.4", "enter")
        await shown(pilot, "Written: North 38.4 °F")
    assert yard.entries == entries + 1


async def test_a_loggers_readings_turn_the_clock_as_readings_by_hand_do(yard):
    warm_milking(yard)
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        yard.do("readings", reading=["-10=61.9F", "-5=61.8F", "now=61.7F"])
        await shown(pilot, SLOW)


async def test_l_writes_the_level_and_v_a_wash_with_its_caution(yard):
    app = program(yard, CLEO)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        await pilot.press("l")
        await shown(pilot, "THE LEVEL OF A TANK")
        await type_in(pilot, "15")
        await pilot.press("ctrl+s")
        await shown(pilot, "Written: North holds 8,000 lb")
        await settled(pilot)
        await pilot.press("v")
        await shown(pilot, "Never let acid and chlorine")


async def test_h_writes_that_a_treated_cows_milk_goes_back_and_only_y_says_yes(yard):
    yard.do("treatment", cow="412", drug="A tube", milk="0", meat="0", hours_from="label", given="-30")
    app = program(yard, CLEO)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "milk")
        await pilot.press("h", "3")
        await shown(pilot, "A TREATED COW'S MILK BACK IN THE TANK")
        await type_in(pilot, "412")
        await pilot.press("ctrl+s")
        await shown(pilot, "Y yes")
        entries = yard.entries
        await pilot.press("enter")
        assert yard.entries == entries
        await pilot.press("y")
        await shown(pilot, "Written: Cow 412, A tube: milk back")

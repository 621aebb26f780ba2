"""The ration desk: amounts tried, drafts kept, suggestions taken line by line, and nothing written before U."""

from __future__ import annotations

import json
import sqlite3
import threading
from contextlib import closing

import pytest

from herdbook.reports import suggested as solving
from tests.screens.desks import (
    HOME,
    SMALL,
    go,
    program,
    rows,
    said,
    settled,
    shown,
    text,
    type_in,
    until,
    write_it,
)
from tests.seat import FarmTime, Seat
from tests.yard import ADA, BEN, CLEO, DOV, Yard

LB = 0.45359237


@pytest.fixture
def farm(yard: Yard) -> Yard:
    """A ration of three feeds inside its targets, each with a price; straw beside it."""
    yard.do("feed", name="Soybean meal", kind="protein", price="400")
    yard.do("analysis", feed="Soybean meal", dry="89", value=["cp=53", "ndf=10", "ca=0.3"])
    yard.do("price", feed="Mineral mix", price="800")
    yard.do("analysis", feed="Mineral mix", dry="97", value=["cp=0", "ndf=0", "ca=20"])
    yard.do("feed", name="Straw", kind="forage", price="100")
    yard.do("analysis", feed="Straw", dry="90", value=["cp=4", "ndf=76", "ca=0.3"])
    # 42 lb of silage, 10.68 of meal and 0.776 of mineral, dry: 53.456 lb, 17.5 % protein
    yard.do(
        "ration", name="High 1", item=["Corn silage=42 lb dm", "Soybean meal=12 lb", "Mineral mix=0.8 lb"]
    )
    yard.do("targets", ration="High 1", target=["cp=15.5 16.5 17.6", "dm_intake=48 50 54 lb", "ca=0.4 - 0.7"])
    return yard


async def at_the_desk(pilot):
    await settled(pilot)
    place = await go(pilot, "ration")
    await until(pilot, lambda: place.tried is not None, "the ration to be there")
    return place


def figure(app, label):
    return next(row for row in rows(app) if f"{label} " in row and "┝" in row)


def feed_row(app, name):
    return next(row for row in rows(app)[4:] if name in row)


def mg(place, name):
    return next(row.mg for row in place.tried.rows() if row.name == name)


# -- amounts --


async def test_a_typed_amount_moves_every_figure_and_writes_nothing(farm):
    app, entries = program(farm, BEN), farm.entries
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        assert "○" not in text(app)
        await pilot.press("down", *"10")
        # 42 lb at 8.8 %, 8.9 at 53 % and 0.776 at nothing: 8.413 of 51.676 lb is 16.3 %
        await until(pilot, lambda: "16.3" in figure(app, "CP %"), "the protein to move")
        assert "51.68" in figure(app, "Dry matter")
        assert "○" in figure(app, "CP %")
        assert "8.90 lb dry matter at 89.0 %" in rows(app)[-3]
        await pilot.press("enter")
        await shown(pilot, "draft beside version 2")
        await shown(pilot, "Soybean meal 12.00 → 10.00 lb")
        assert "Version 2 stays in use" in said(pilot)
        assert place.chosen_feed == farm.ground().find("feed", "Mineral mix")
    assert farm.rows("SELECT * FROM ration_version WHERE ration = 1")[-1]["version"] == 2
    assert farm.entries == entries


@pytest.mark.parametrize(
    ("typed", "lb", "basis"),
    [
        ("10", 10.0, "as fed"),
        ("8.9dm", 8.9, "dry matter"),
        ("+1", 13.0, "as fed"),
        ("-2.5", 9.5, "as fed"),
        ("-5%", 11.4, "as fed"),
        ("+0.89dm", 13.0, "as fed"),
        ("5 kg", 5 / LB, "as fed"),
        ("0", 0.0, "as fed"),
    ],
)
async def test_what_is_typed_is_as_fed_dry_matter_or_a_change(farm, typed, lb, basis):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await pilot.press("down")
        await type_in(pilot, typed)
        await until(pilot, lambda: place.amount.is_empty, "the amount to be taken")
        row = next(row for row in place.tried.rows() if row.name == "Soybean meal")
        assert row.mg / 1e6 / LB == pytest.approx(lb, abs=1e-5)
        assert row.basis == basis or not row.mg


async def test_what_is_no_amount_is_said_and_changes_nothing(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        before = mg(place, "Corn silage")
        await type_in(pilot, "-200")
        await shown(pilot, "has not that much to take away")
        assert mg(place, "Corn silage") == before
        await pilot.press("escape")
        await type_in(pilot, "12 furlongs")
        await until(pilot, lambda: said(pilot).startswith("!"), "the refusal")
        assert mg(place, "Corn silage") == before


async def test_an_amount_over_the_feeds_own_maximum_is_asked_about(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await pilot.press("down", "down")
        await type_in(pilot, "2")
        await shown(pilot, "over its own maximum of 1.00 lb?")
        assert place.amount.text == "2"
        await pilot.press("enter")
        await shown(pilot, "Mineral mix 0.80 → 2.00 lb")


async def test_typing_that_is_stepped_away_from_is_forgotten(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await pilot.press(*"30")
        await shown(pilot, "30.00 lb as fed")
        await pilot.press("down")
        await until(pilot, lambda: place.amount.is_empty, "the field to be empty")
        assert not place.tried.is_changed
        assert "○" not in text(app)


async def test_z_puts_a_feed_back_and_escape_throws_all_away_after_asking(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await type_in(pilot, "+1", "+1")
        await pilot.press("up", "z")
        await shown(pilot, "Soybean meal is as in use")
        assert [change.name for change in place.tried.changes()] == ["Corn silage"]
        await pilot.press("escape")
        await shown(pilot, "Throw the draft of High 1 away?")
        await pilot.press("escape")
        await until(pilot, lambda: "Throw" not in said(pilot), "the question to be gone")
        assert place.tried.is_changed
        await pilot.press("escape", "enter")
        await shown(pilot, "Thrown away")
        assert not place.tried.is_changed
        assert app.place is place


async def test_the_field_is_only_there_for_those_who_may_set_a_ration(farm):
    for who in (CLEO, DOV):
        app = program(farm, who)
        async with app.run_test(size=HOME) as pilot:
            place = await at_the_desk(pilot)
            await pilot.press("9", "enter", "space", "u")
            assert not place.tried.is_changed
            await pilot.press("s")
            await until(pilot, lambda: "may not write this" in said(pilot), "the refusal")
            assert place.offer is None


async def test_why_explains_a_figure_of_the_draft(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await type_in(pilot, "+1")
        place.figures.choose("cp")
        await pilot.press("equals_sign")
        await shown(pilot, "Of amounts that are tried; they are not in use.")
        assert "WHY" in text(app)


async def test_tab_goes_to_the_figures_and_only_one_list_shows_its_chosen_row(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        assert "▸ Corn silage" in text(app)
        assert "Tab figures" in rows(app)[-1]
        await pilot.press("tab", "down")
        await shown(pilot, "▸ CP %")
        assert "▸ Corn silage" not in text(app)
        assert "= why" in rows(app)[-1]
        await pilot.press("tab")
        await shown(pilot, "▸ Corn silage")
        assert place.amount.has_focus


# -- using --


async def test_u_asks_from_when_and_writes_just_the_amounts_that_were_tried(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await pilot.press("u")
        await until(pilot, lambda: "Nothing is changed yet" in said(pilot), "the answer")
        await type_in(pilot, "41.5dm", "10.25")
        wanted = {row.feed: (row.mg, row.basis) for row in place.tried.rows()}
        await pilot.press("u")
        await until(pilot, lambda: place.slip is not None, "the slip")
        labels = [row.asks[0].label for row in place.slip.sheet.rows]
        assert labels == ["Since", "Feeding", "Despite"]
        await type_in(pilot, "+1")
        await pilot.press("2")
        assert "Ration High 1, version 3" in await write_it(pilot)
        assert place.drafts.by_ration == {}
        assert place.tried.is_changed is False
    version = farm.row("SELECT * FROM ration_version WHERE version = 3")
    assert (version["from_day"], version["from_feeding"]) == ("2026-03-10", 2)
    items = farm.rows("SELECT * FROM ration_item WHERE ration_version = ?", version["id"])
    assert {item["feed"]: (item["mg"], item["basis"]) for item in items} == wanted


async def test_a_draft_over_a_maximum_is_written_only_with_a_reason(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await pilot.press("down", "down")
        await type_in(pilot, "1.2", "")
        await shown(pilot, "Mineral mix 0.80 → 1.20 lb")
        await pilot.press("u")
        await until(pilot, lambda: place.slip is not None, "the slip")
        await pilot.press("ctrl+s")
        await until(pilot, lambda: "over its own maximum" in said(pilot), "the refusal")
        assert place.tried.is_changed
        while place.slip.sheet.rows[place.slip.sheet.row].asks[0].label != "Despite":
            await pilot.press("down")
        await pilot.press(*"trial", "ctrl+s")
        await shown(pilot, "Written: Ration High 1, version 3")
    assert "trial" in farm.row("SELECT note FROM entry ORDER BY number DESC LIMIT 1")["note"]


async def test_a_slip_left_and_a_draft_changed_after_it_writes_the_newer_amounts(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await type_in(pilot, "+1")
        await pilot.press("u")
        await until(pilot, lambda: place.slip is not None, "the slip")
        await pilot.press(*"now", "escape")
        await until(pilot, lambda: not place.slip_is_open, "the slip to be gone")
        await type_in(pilot, "11")
        await pilot.press("u")
        await until(pilot, lambda: place.slip is not None, "the slip")
        assert "Soybean meal=11 lb" in place.slip.form.fixed["item"]


@pytest.mark.parametrize("way", ["u", "e"])
async def test_who_wrote_a_version_meanwhile_is_told_before_a_draft_goes_over_it(farm, way):
    """Two people at one version: the second is stopped once, with the first one's name, and loses nothing."""
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await type_in(pilot, "41.5dm")
        farm.now_s += 300
        farm.do(
            "ration", by=ADA, name="High 1", item=["Corn silage=44 lb dm", "Soybean meal=12 lb"], since="+1"
        )
        app.book_changed()
        await settled(pilot)
        await pilot.press(way)
        await until(pilot, lambda: place.slip is not None, "the slip")
        state = farm.state()
        await pilot.press("ctrl+s")
        await shown(pilot, "Ada wrote version 3 of High 1")
        assert "10:05" in text(app)
        assert farm.state() == state
        assert place.slip is not None
        await pilot.press("ctrl+s")
        await shown(pilot, "Written: Ration High 1, version 4")
    items = farm.rows(
        "SELECT mg FROM ration_item JOIN ration_version ON ration_version.id = ration_version "
        "WHERE version = 4 ORDER BY place"
    )
    assert items[0]["mg"] == pytest.approx(41.5 * LB * 1e6, abs=1)
    assert len(items) == 3


async def test_two_rations_have_a_draft_each(farm):
    farm.do("ration", name="Dry 1", item="Corn silage=20")
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await type_in(pilot, "+1")
        await pilot.press("right")
        await shown(pilot, "Dry 1  version 1")
        assert not place.tried.is_changed
        await type_in(pilot, "25")
        await shown(pilot, "Dry 1  draft beside version 1")
        await pilot.press("left")
        await shown(pilot, "High 1  draft beside version 2")
        assert len(place.drafts.by_ration) == 2


async def test_a_draft_stays_over_what_others_write_meanwhile(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await type_in(pilot, "41dm")
        farm.do("dry-matter", feed="Corn silage", dry="32")
        await until(pilot, lambda: "32.0" in feed_row(app, "Corn silage"), "the new dry matter")
        assert mg(place, "Corn silage") / 1e6 / LB == pytest.approx(41, abs=1e-5)
        farm.do("ration", name="High 1", item=["Corn silage=40 lb dm", "Soybean meal=11 lb"])
        await shown(pilot, "draft beside version 3")
        await shown(pilot, "another version came into use")
        assert mg(place, "Corn silage") / 1e6 / LB == pytest.approx(41, abs=1e-5)


# -- suggestions --


async def test_a_suggestion_is_taken_line_by_line_and_changes_nothing_before_enter(farm):
    app, entries = program(farm, BEN), farm.entries
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        before = {row.name: row.mg for row in place.tried.rows()}
        await pilot.press("s")
        await until(pilot, lambda: place.offer is not None, "the suggestion")
        await shown(pilot, "least cost beside version 2")
        count = len(place.offer.lines)
        assert count >= 2
        await shown(pilot, f"Taken {count} of {count}")
        assert {row.name: row.mg for row in place.tried.rows()} == before
        first, *others = place.offer.lines
        await pilot.press("space")
        await shown(pilot, f"Taken {count - 1} of {count}")
        assert "[ ]" in feed_row(app, first.name)
        assert {row.name: row.mg for row in place.tried.rows()} == before
        await pilot.press("enter")
        await shown(pilot, f"{count - 1} of {count} lines are in the draft")
        now = {row.name: row.mg for row in place.tried.rows()}
        assert now[first.name] == before[first.name]
        assert all(now[line.name] == line.after_mg for line in others)
        assert place.amount.has_focus
    assert farm.entries == entries


async def test_leaving_a_suggestion_leaves_the_draft_as_it_was(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await type_in(pilot, "+1")
        before = [(row.feed, row.mg) for row in place.tried.rows()]
        await pilot.press("s")
        await until(pilot, lambda: place.offer is not None, "the suggestion")
        await pilot.press("escape")
        await until(pilot, lambda: place.offer is None, "the suggestion to be gone")
        assert [(row.feed, row.mg) for row in place.tried.rows()] == before
        await shown(pilot, "draft beside version 2")


async def test_a_feed_that_is_held_is_not_in_the_suggestion(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await pilot.press("down", "space")
        await shown(pilot, "Soybean meal is held as it is")
        assert "┃Soybean meal" in text(app)
        await pilot.press("9")
        await until(pilot, lambda: "held as it is" in rows(app)[-3], "the refusal to change it")
        await pilot.press("escape", "s")
        await until(pilot, lambda: place.offer is not None, "the suggestion")
        assert "Soybean meal" not in [line.name for line in place.offer.lines]


async def test_the_smallest_change_brings_the_draft_back_inside_its_targets(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await pilot.press("down")
        await type_in(pilot, "6")
        await shown(pilot, "CP")
        assert "low" in figure(app, "CP %")
        await pilot.press("m")
        await until(pilot, lambda: place.offer is not None, "the suggestion")
        await shown(pilot, "smallest change beside the draft")
        await pilot.press("enter")
        await until(pilot, lambda: "ok" in figure(app, "CP %"), "the protein to be inside")
        assert "is under" not in text(app)


async def test_a_feed_offered_beside_the_ration_is_asked_with(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await pilot.press("o")
        await shown(pilot, "OTHER FEEDS")
        await pilot.press("enter")
        await shown(pilot, "Straw is on offer")
        assert place.chosen_feed == farm.ground().find("feed", "Straw")
        await pilot.press("s")
        await until(pilot, lambda: place.offer is not None, "the suggestion")
        names = [one.name for one in place.offer.suggested.question.offered]
        assert names == ["Corn silage", "Soybean meal", "Mineral mix", "Straw"]


async def test_when_no_mix_fits_the_nearest_is_shown_untaken_with_what_quarrels(farm):
    farm.do("targets", ration="High 1", target=["cp=60 - -", "dm_intake=48 50 54 lb"])
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        await pilot.press("s")
        await until(pilot, lambda: place.offer is not None, "the nearest")
        await shown(pilot, "no mix fits")
        await shown(pilot, "Nearest: CP ")
        await shown(pilot, "THESE CANNOT ALL HOLD G eases one")
        assert not any(place.offer.taken.values())
        await shown(pilot, "CP at least 60 %")
        await pilot.press("enter")
        await shown(pilot, "No line was taken")
        assert not place.tried.is_changed


def test_in_a_small_window_what_quarrels_and_what_is_missed_can_be_read_and_lines_taken(sit, farm):
    farm.do("targets", ration="High 1", target=["cp=60 - -", "dm_intake=48 50 54 lb"])
    seat = sit((60, 20))
    seat.press("s")
    seat.wait("Nearest: CP ")
    assert "CP at least 60 %" in seat.text
    assert "Taken 0 of " in seat.text
    seat.press("a")
    seat.wait(lambda text: "[x]" in text and "[ ]" not in text, "every line taken")
    seat.press(" ")
    seat.wait(lambda text: text.count("[ ]") == 1, "the chosen line left")
    seat.press("enter")
    seat.wait("lines are in the draft")


async def test_where_nothing_comes_nearer_than_the_draft_it_is_told_why(farm):
    farm.do("targets", ration="High 1", target=["cp=60 - -"])
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        for row in place.tried.rows():
            place.tried.lock(row.feed, locked=True)
        await pilot.press("s")
        await shown(pilot, "none comes nearer than the draft")
        await shown(pilot, "CP at least 60 %")
        assert place.offer is None


async def test_escape_stops_waiting_and_the_desk_works_meanwhile(farm, monkeypatch):
    let_go, asked = threading.Event(), threading.Event()
    real = solving.solve

    def slow(question):
        asked.set()
        let_go.wait(20)
        return real(question)

    monkeypatch.setattr(solving, "solve", slow)
    app = program(farm, BEN)
    try:
        async with app.run_test(size=HOME) as pilot:
            place = await at_the_desk(pilot)
            await pilot.press("s")
            await until(pilot, asked.is_set, "the solver to be asked")
            await shown(pilot, "Esc stops waiting")
            await pilot.press("down")
            assert place.chosen_feed == farm.ground().find("feed", "Soybean meal")
            await pilot.press("escape")
            await shown(pilot, "Not waiting any more")
            let_go.set()
            await pilot.pause(0.1)
            assert place.offer is None
    finally:
        let_go.set()


async def test_a_question_that_cannot_be_put_is_said(farm):
    farm.do("targets", ration="High 1", target=["dm_intake=- 50 -"])
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        place = await at_the_desk(pilot)
        farm.do("feed", name="Chalk", kind="mineral")
        farm.do("analysis", feed="Chalk", dry="99", value="ca=38")
        await until(pilot, lambda: any(one.name == "Chalk" for one in place.tried.feeds.values()), "chalk")
        await pilot.press("o")
        await shown(pilot, "OTHER FEEDS")
        await pilot.press("c", "enter", "s")
        await until(pilot, lambda: "Chalk has no price" in said(pilot), "the refusal")
        assert place.offer is None


# -- versions, small windows, drafts over a cut line --


async def test_versions_are_listed_and_each_tells_its_amounts(farm):
    app = program(farm, BEN)
    async with app.run_test(size=HOME) as pilot:
        await at_the_desk(pilot)
        await pilot.press("v")
        await shown(pilot, "VERSIONS")
        assert "Version 2, in use" in text(app)
        await pilot.press("down", "enter")
        await shown(pilot, "Version 1")
        assert "In use now: Corn silage 17.30 lb dm to 42.00 lb dm" in " ".join(text(app).split())


async def test_sixty_columns_are_enough_for_the_desk(farm):
    app = program(farm, BEN)
    async with app.run_test(size=SMALL) as pilot:
        place = await at_the_desk(pilot)
        await pilot.press("f1")
        await shown(pilot, "ALL KEYS")
        assert "17.3dm dry matter" in " ".join(text(app).split())
        await pilot.press("escape")
        await type_in(pilot, "40dm")
        await shown(pilot, "Corn silage 42.00 dm → 40.00 dm lb")
        await pilot.press("s")
        await until(pilot, lambda: place.offer is not None, "the suggestion")
        await shown(pilot, "Taken ")
        assert "Enter puts in the draft" in text(app)


@pytest.fixture
def sit(farm, tmp_path):
    """Sit down at the farm's book; called again, sit down anew."""
    farm.book.close()
    time, seats = FarmTime(tmp_path / "clock", "2026-03-09 10:00"), []

    def take(size=(80, 24)):
        seats.append(Seat(farm.path, time, "Ben", size))
        seats[-1].wait("Dry matter ", "the desk to be shown")
        return seats[-1]

    yield take
    for seat in seats:
        seat.close()


def kept(farm):
    with closing(sqlite3.connect(farm.path)) as connection:
        return {
            form: json.loads(texts) for form, texts in connection.execute("SELECT form, texts FROM draft")
        }


def test_a_cut_line_keeps_the_draft_what_is_held_and_what_was_being_typed(sit, farm):
    seat = sit()
    seat.press("41dm", "enter")
    seat.wait("draft beside version 2")
    seat.press(" ")
    seat.wait("Soybean meal is held")
    seat.press("down", "0.7")
    seat.wait("0.70 lb as fed")
    seat.hang_up()
    assert seat.exit_status() == 129
    assert "own" in kept(farm)["ration"]
    seat = sit()
    seat.wait("draft beside version 2")
    seat.wait("0.70 lb as fed")
    assert "┃Soybean meal" in seat.text
    seat.press("enter")
    seat.wait("Mineral mix 0.80 → 0.70 lb")
    seat.press("u")
    seat.wait("A RATION VERSION")
    seat.press("ctrl+s")
    seat.wait("Written: Ration High 1, version 3")
    seat.press("ctrl+q", "enter")
    assert seat.exit_status() == 0
    assert kept(farm) == {}


def test_the_solver_is_loaded_without_a_hole_in_what_is_drawn(sit):
    seat = sit()
    seat.press("s")
    seat.wait("least cost beside version 2")
    seat.press("esc")
    seat.wait("The suggestion is gone")
    assert "HiGHS" not in bytes(seat.raw).decode(errors="replace")
    before = seat.text
    seat.press("ctrl+l")
    seat.quiet(0.3)
    assert seat.text == before


def test_a_digit_costs_little_on_the_wire(sit):
    seat = sit()
    seat.quiet(0.5)
    seat.press("down")
    seat.quiet(0.3)
    before = seat.bytes
    seat.press("1", "1", ".", "7", "5")
    seat.wait("11.75 lb as fed")
    seat.quiet(0.4)
    assert (seat.bytes - before) / 5 < 300

"""The ration desk: figures against targets, the next version drafted from the one in use, several rations."""

from __future__ import annotations

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
from tests.yard import ADA, BEN


async def test_feeds_figures_and_what_to_look_at_stand_on_one_screen(yard):
    app = program(yard, BEN)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "ration")
        page = text(app)
        assert "High 1  version 1" in page
        assert "for High" in rows(app)[2]
        silage = next(
            row for row in rows(app) if row.lstrip(" ▸").startswith("Corn silage ") and "33.6" in row
        )
        assert silage.lstrip(" ▸").split()[2:5] == ["51.49", "33.6", "17.30"]  # 17.30 / 0.336 = 51.49
        assert "Mineral mix" in page  # not cut


async def test_the_next_version_is_drafted_from_the_one_in_use(yard):
    app = program(yard, BEN)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        ration = await go(pilot, "ration")
        await pilot.press("e")
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        assert app.place.slip.texts["item.first"] == ["Corn silage", "Mineral mix"]
        assert app.place.slip.texts["item.second"] == ["17.3 lb dm", "0.8 lb"]
        sheet = ration.slip.sheet
        while sheet.answer.text != "0.8 lb":
            await pilot.press("enter")
        await pilot.press(*"0.9")
        assert sheet.answer.text == "0.9"  # typed over what was offered
        await pilot.press("ctrl+s")
        await shown(pilot, "Written: Ration High 1, version 2")
        await shown(pilot, "High 1  version 2")


async def test_targets_open_with_those_in_force(yard):
    app = program(yard, BEN)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "ration")
        await pilot.press("g")
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        texts = app.place.slip.texts
        offered = dict(zip(texts["target.first"], texts["target.second"], strict=True))
        assert offered == {"cp": "15.5 16.5 17.5", "dm_intake": "48 50 53 lb"}


async def test_targets_written_again_as_they_were_offered_are_the_same(yard):
    def kept():
        rows = yard.rows(
            "SELECT target_set, figure, low, aim, high FROM target ORDER BY target_set DESC, figure"
        )
        newest = [row for row in rows if row["target_set"] == rows[0]["target_set"]]
        return [(row["figure"], row["low"], row["aim"], row["high"]) for row in newest]

    before, entries = kept(), yard.entries
    app = program(yard, BEN)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "ration")
        await pilot.press("g")
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        await write_it(pilot)
    assert yard.entries == entries + 1
    assert kept() == before


async def test_who_set_targets_meanwhile_is_told_before_others_go_over_them(yard):
    app = program(yard, BEN)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        ration = await go(pilot, "ration")
        await pilot.press("g")
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        yard.do("targets", by=ADA, ration="High 1", target=["cp=15 16 17"])
        state = yard.state()
        await pilot.press("ctrl+s")
        await shown(pilot, "Ada set targets of High 1")
        assert yard.state() == state
        assert ration.slip is not None
        await pilot.press("ctrl+s")
        await shown(pilot, "Written: High 1: 2 targets")
        await pilot.press("g")  # nothing is told of what is in view
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        await write_it(pilot)


async def test_bounds_with_a_unit_are_taken_on_a_slip(yard):
    app = program(yard, BEN)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        ration = await go(pilot, "ration")
        ration.open_chore("targets", texts={"ration": "High 1", "target": ["dm_intake=20 22 24 kg"]})
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        await write_it(pilot)
    (row,) = yard.rows("SELECT low, aim, high FROM target ORDER BY id DESC LIMIT 1")
    assert tuple(row.values()) == (20_000_000, 22_000_000, 24_000_000)


async def test_left_and_right_go_through_the_rations_and_x_strikes_a_version(yard):
    yard.do("ration", name="Dry 1", item="Corn silage=20")
    app = program(yard, BEN)
    async with app.run_test(size=LARGE) as pilot:
        await settled(pilot)
        await go(pilot, "ration")
        await pilot.press("right")
        await shown(pilot, "Dry 1  version 1")
        await shown(pilot, "for no pen")
        await pilot.press("left")
        await shown(pilot, "High 1  version 1")
        await pilot.press("right", "x")
        await shown(pilot, "Strikes Ration Dry 1")
        await type_in(pilot, "not needed")
        assert "Struck entry" in await write_it(pilot)
        await until(pilot, lambda: "Dry 1  version 1" not in text(app), "the version to be gone")


async def test_a_small_window_keeps_names_bars_and_verdicts(yard):
    app = program(yard, BEN)
    async with app.run_test(size=SMALL) as pilot:
        await settled(pilot)
        await go(pilot, "ration")
        figure = next(row for row in rows(app) if "Dry matter" in row and "┝" in row)
        assert "┥" in figure
        assert figure.rstrip().endswith(("ok", "<", ">"))


async def test_an_analysis_and_a_dry_matter_test_are_written_from_the_desk(yard):
    app = program(yard, BEN)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "ration")
        await pilot.press("d")
        await type_in(pilot, "corn", "31.8")
        await pilot.press("ctrl+s")
        await shown(pilot, "Written: Corn silage")
        await until(
            pilot, lambda: "54.40" in text(app), "the same dry matter in wetter silage"
        )  # 17.3 / 0.318


async def test_targets_of_a_farm_with_a_decimal_comma_are_offered_with_it(tmp_path):
    from tests.yard import Yard

    yard = Yard.started(tmp_path / "farm.book", system="metric", decimal=",")
    yard.do("feed", name="Silage", kind="forage")
    yard.do("analysis", feed="Silage", dry="33,6", value="p=0,265")
    yard.do("ration", name="One", item="Silage=50")
    yard.do("targets", ration="One", target="p=0,255 0,325 0,4")
    app = program(yard)
    async with app.run_test(size=HOME) as pilot:
        await settled(pilot)
        await go(pilot, "ration")
        await pilot.press("g")
        await until(pilot, lambda: app.place.slip is not None, "the slip")
        assert app.place.slip.texts["target.second"] == ["0,255 0,325 0,4"]
        await pilot.press("ctrl+s")
        await shown(pilot, "Written:")
    rows_kept = yard.rows("SELECT * FROM target ORDER BY id DESC LIMIT 1")
    assert 255_000 in rows_kept[0].values()

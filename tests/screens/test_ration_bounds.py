"""The ration desk beyond amounts: bounds of suggestions, reports by key, predicted intake, effects told beforehand."""

from __future__ import annotations

from tests.screens.desks import SMALL, program, rows, seated, shown, text, until
from tests.yard import BEN, HOUR


async def test_a_bound_typed_at_the_desk_holds_the_suggestion_and_leaves_the_book_alone(yard):
    yard.do("feed", name="Straw", kind="forage", price="40")
    yard.do("analysis", feed="Straw", dry="90", value=["cp=4", "ndf=75", "ca=0.2"])
    yard.do("targets", ration="High 1", target=["dm_intake=15 16 17 lb", "cp=7 8 9.5"])
    entries = yard.entries
    app = program(yard, BEN)
    async with seated(app, "ration") as (pilot, ration):
        await pilot.press("o", "1")
        await shown(pilot, "Straw is on offer")
        await pilot.press("b")
        await shown(pilot, "bounds of suggestions")
        while ration.feeds.chosen != str(ration.ground.names["feed"]["Straw"]):
            await pilot.press("down")
        await pilot.press("right", "right", *"3dm")
        await pilot.press("enter")
        await shown(pilot, "3.0d")
        await pilot.press("s")
        await until(pilot, lambda: ration.offer is not None, "the suggestion")
        straw = next(line for line in ration.offer.lines if line.name == "Straw")
        assert (
            ration.offer.as_fed_kg(straw, straw.after_mg) * 0.9 / 0.45359237 <= 3.0005
        )  # 3 lb of dry matter
        assert yard.entries == entries


async def test_bounds_are_taken_back_and_come_back_with_a_cut_line(yard):
    app = program(yard, BEN)
    async with seated(app, "ration", SMALL) as (pilot, ration):
        await pilot.press("b", *"60", "enter")
        await shown(pilot, "S and M keep to these")
        silage = ration.ground.names["feed"]["Corn silage"]
        assert set(ration.limits.price) == {silage}
        kept = ration.drafts.as_text()
        await pilot.press("up", *"-1", "enter")
        await pilot.pause()
        assert not ration.limits.is_set
        back = type(ration.drafts).from_text(kept)
        (limits,) = back.limits.values()
        assert round(limits.price[silage] / 100, 2) == 66.14  # 60 a short ton of 907.18474 kg
        await pilot.press("escape")
        await shown(pilot, "High 1  version 1")


async def test_days_without_a_store_are_asked_about_in_words(yard):
    app = program(yard, BEN)
    async with seated(app, "ration") as (pilot, ration):
        await pilot.press("b", "down", "down", *"9.5", "enter")
        await shown(pilot, "no number of days")
        assert ration.limits.days is None


async def test_r_tells_the_four_rations_side_by_side(yard):
    yard.now_s += 24 * HOUR
    app = program(yard, BEN)
    async with seated(app, "ration") as (pilot, _):
        await pilot.press("r", "1")
        await shown(pilot, "the four rations, a head and day")
        await pilot.press("pagedown")
        await until(pilot, lambda: "Mixed" in text(app) and "Eaten" in text(app), "the columns")
        heads = next(row for row in rows(app) if "Mixed" in row and "Eaten" in row)
        assert heads.split()[:2] == ["Figure", "Unit"]


async def test_one_version_has_nothing_beside_it(yard):
    app = program(yard, BEN)
    async with seated(app, "ration") as (pilot, _):
        await pilot.press("r")
        await shown(pilot, "4  Two versions side by side")
        await pilot.press("4")
        await shown(pilot, "There is one version yet")


async def test_any_two_versions_stand_side_by_side(yard):
    yard.do("ration", name="High 1", item=["Corn silage=18 lb dm", "Mineral mix=0.8"])
    yard.do("ration", name="High 1", item=["Corn silage=19 lb dm", "Mineral mix=0.8"])
    app = program(yard, BEN)
    async with seated(app, "ration") as (pilot, _):
        await pilot.press("r", "4")
        await shown(pilot, "EARLIER VERSION")
        await pilot.press("2")  # versions 2 and 1 are earlier than 3
        await shown(pilot, "BESIDE VERSION 1")
        await pilot.press("1")
        await shown(pilot, "version 1 to 3")
        await until(pilot, lambda: "17.30" in text(app) and "19.00" in text(app), "both amounts")


async def test_predicted_intake_stands_beside_what_is_offered_once_the_cows_are_known(yard):
    app = program(yard, BEN)
    async with seated(app, "ration") as (pilot, _):
        assert "Predicted" not in text(app)
    yard.do("pen-cows", pen="High", weight="1499 lb", days_in_milk="160", older="65%", milk="82.5 lb", fat="4.1",
            condition="3")  # fmt: skip
    app = program(yard, BEN)
    async with seated(app, "ration") as (pilot, _):
        line = next(row for row in rows(app) if "Predicted" in row)
        # 18 lb are offered, far under what any equation says such cows eat
        assert "! −" in line
        await pilot.press("tab", "=")
        await shown(pilot, "Predicted intake")


async def test_what_a_dry_matter_test_changes_is_told_before_it_is_accepted(yard):
    app = program(yard, BEN)
    async with seated(app, "ration") as (pilot, ration):
        entries = yard.entries
        await pilot.press("d")
        await until(pilot, lambda: ration.slip is not None, "the slip")
        ration.slip.sheet.go_to("feed")
        await pilot.press(*"corn", "enter", *"31.2", "enter")
        while ration.slip.stage == "fields":
            await pilot.press("enter")
        # 17.3 lb of dry matter: 51.49 lb as fed at 33.6 %, 55.45 at 31.2 %
        await shown(pilot, "51.49 to 55.45 lb as fed a head")
        assert yard.entries == entries
        await pilot.press("enter")
        await shown(pilot, "Written: Corn silage: dry matter 31.2 %")

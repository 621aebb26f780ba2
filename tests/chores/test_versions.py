"""Versions of a ration: they come into force at their feeding and not before, and any two stand side by side."""

from __future__ import annotations

import pytest

from herdbook.book.opening import reading
from herdbook.chores.planning import plan_load
from herdbook.errors import Refused, WrittenMeanwhile
from herdbook.reports import catalogue
from tests.yard import BEN, DAY, Yard

HIGH = 1


def planned(yard: Yard, *, feeding: int, days: int = 0) -> list[int]:
    """Feeds that a load of that feeding, so many days ahead, would hold."""
    at_s = yard.now_s + days * DAY
    with reading(yard.path) as connection:
        plan = plan_load(connection, yard.ground(), [HIGH], feeding=feeding, at_s=at_s)
    return [line.feed for line in plan.lines]


def test_what_the_hand_sees_changes_exactly_at_the_feeding_it_was_set_from(yard: Yard) -> None:
    yard.do("pen-ration", pen="High", ration="High 1", feedings="3")
    yard.do("ration", name="High 1", item="Corn silage=18 lb dm", since="+1", feeding="2")
    both, one = [1, 2], [1]
    assert planned(yard, feeding=3) == both
    assert planned(yard, feeding=1, days=1) == both
    assert planned(yard, feeding=2, days=1) == one
    assert planned(yard, feeding=3, days=1) == one
    assert planned(yard, feeding=1, days=2) == one


def test_a_load_already_begun_keeps_the_version_it_was_begun_with(yard: Yard) -> None:
    before = yard.row("SELECT ration_version FROM load_plan")["ration_version"]
    yard.do("ration", name="High 1", item="Corn silage=18 lb dm")
    yard.do("weigh", load="1", feed="Mineral", scale="2735", weighed="-170")
    assert yard.row("SELECT ration_version FROM load_plan")["ration_version"] == before


def test_a_pen_changes_its_ration_exactly_at_a_feeding(yard: Yard) -> None:
    yard.do("ration", name="Plain", item="Corn silage=18 lb dm", since="-1")
    yard.do("pen-ration", pen="High", ration="Plain", since="+1", feeding="2", feedings="2")
    assert planned(yard, feeding=1, days=1) == [1, 2]
    assert planned(yard, feeding=2, days=1) == [1]


def newest_of(yard: Yard, ration: str) -> int:
    """The entry of a ration's newest version."""
    rows = yard.rows(
        "SELECT version.entry FROM ration_version AS version JOIN ration_card AS card USING (ration) "
        "WHERE card.name = ? ORDER BY version.entry",
        ration,
    )
    return int(rows[-1]["entry"])


def test_a_version_written_after_the_draft_began_is_told_with_who_and_when_before_anything_is_written(
    yard: Yard,
) -> None:
    seen = newest_of(yard, "High 1")
    yard.now_s += 25 * 60
    yard.do("ration", by=BEN, name="High 1", item=["Corn silage=18 lb dm"], since="+1")
    state, newest = yard.pages(), newest_of(yard, "High 1")
    with pytest.raises(WrittenMeanwhile) as told:
        yard.do("ration", name="High 1", item=["Corn silage=16 lb dm"], seen=str(seen))
    assert told.value.message == (
        f"Ben wrote version 2 of High 1 Mon 9 Mar 10:25, entry {newest}, after yours was begun."
    )
    assert told.value.entry == newest
    assert yard.pages() == state
    again = yard.do("ration", name="High 1", item=["Corn silage=16 lb dm"], seen=str(told.value.entry))
    assert again.said.startswith("Ration High 1, version 3,")


def test_nothing_is_told_of_other_rations_of_the_first_version_or_of_what_was_struck(yard: Yard) -> None:
    seen = newest_of(yard, "High 1")
    yard.do("ration", by=BEN, name="Plain", item=["Corn silage=18 lb dm"], seen="1")
    struck = yard.do("ration", by=BEN, name="High 1", item=["Corn silage=18 lb dm"]).entry
    yard.do("strike", by=BEN, entry=str(struck))
    yard.do("ration", name="High 1", item=["Corn silage=16 lb dm"], seen=str(seen))


def test_a_retry_of_what_was_written_is_not_stopped_by_itself(yard: Yard) -> None:
    seen = str(newest_of(yard, "High 1"))
    once = yard.do("ration", name="High 1", item=["Corn silage=16 lb dm"], seen=seen, request="r")
    again = yard.do("ration", name="High 1", item=["Corn silage=16 lb dm"], seen=seen, request="r")
    assert (again.entry, again.again) == (once.entry, True)


def test_targets_set_after_the_draft_began_are_told_with_who_and_when(yard: Yard) -> None:
    first = yard.do("targets", ration="High 1", target=["cp=16 17 18"]).entry
    yard.do("targets", by=BEN, ration="High 1", target=["cp=15 16 17"], since="+30")
    state = yard.pages()
    with pytest.raises(
        WrittenMeanwhile, match=r"Ben set targets of High 1 from 2026-04-08 .* after yours"
    ) as told:
        yard.do("targets", ration="High 1", target=["cp=16 17 19"], seen=str(first))
    assert yard.pages() == state
    yard.do("targets", ration="High 1", target=["cp=16 17 19"], seen=str(told.value.entry))
    yard.do("ration", name="Plain", item=["Corn silage=18 lb dm"])
    yard.do("targets", ration="Plain", target=["cp=12 13 14"], seen="1")  # another ration's concern nobody


@pytest.fixture
def two(yard: Yard) -> Yard:
    yard.do("ration", name="High 1", item=["Corn silage=18 lb dm"], since="+1")
    yard.do("ration", name="High 1", item=["Mineral mix=0.5 lb", "Corn silage=16 lb dm"], since="+2")
    return yard


def difference(yard: Yard, **options: str) -> catalogue.Report:
    with reading(yard.path) as connection:
        return catalogue.make("ration-difference", connection, yard.ground(), {"name": "High 1"} | options)


def test_any_two_versions_stand_side_by_side(two: Yard) -> None:
    report = difference(two, **{"from": "1", "to": "2"})
    rows = {line.name: line for line in report.table("feeds").lines}
    assert list(rows) == ["Corn silage", "Mineral mix"]
    silage, mineral = rows["Corn silage"], rows["Mineral mix"]
    lb = 0.45359237
    assert silage["before_dm_kg"].number == pytest.approx(17.3 * lb, abs=1e-6)
    assert silage["after_dm_kg"].number == pytest.approx(18 * lb, abs=1e-6)
    assert silage["change_dm_kg"].number == pytest.approx(0.7 * lb, abs=2e-6)
    assert mineral["after_kg"].value is None
    assert mineral["change_kg"].number == pytest.approx(-0.8 * lb, abs=1e-6)
    assert mineral["change_kg"].says == "out"
    figures = {line.name: line for line in report.table("figures").lines}
    intake = figures["dm_intake"]
    assert intake["change"].number == pytest.approx((18 - 17.3 - 0.8 * 0.97) * lb, abs=1e-5)
    assert intake["change"].number == pytest.approx(intake["after"].number - intake["before"].number)


def test_the_newest_two_are_taken_when_none_is_named(two: Yard) -> None:
    facts = difference(two).facts
    assert (facts["from_version"].value, facts["to_version"].value) == (2, 3)
    facts = difference(two, to="2").facts
    assert (facts["from_version"].value, facts["to_version"].value) == (1, 2)


def test_backwards_is_a_difference_too(two: Yard) -> None:
    there, back = difference(two, **{"from": "1", "to": "3"}), difference(two, **{"from": "3", "to": "1"})
    for line in there.table("feeds").lines:
        other = next(one for one in back.table("feeds").lines if one.name == line.name)
        assert line["change_kg"].number == pytest.approx(-other["change_kg"].number)


@pytest.mark.parametrize("options", [{"from": "9"}, {"to": "9"}, {"from": "1", "to": "4"}])
def test_a_version_that_is_not_there_is_named_with_those_that_are(two: Yard, options: dict[str, str]) -> None:
    with pytest.raises(Refused, match="has no version") as refused:
        difference(two, **options)
    assert "1, 2, 3" in refused.value.remedy


def test_one_version_alone_says_so(yard: Yard) -> None:
    assert any("no other version" in word for word in difference(yard).warnings)


def test_entries_of_both_lie_under_a_change(two: Yard) -> None:
    entries = [row["entry"] for row in two.rows("SELECT entry FROM ration_version ORDER BY id")]
    report = difference(two, **{"from": "1", "to": "2"})
    silage = next(line for line in report.table("feeds").lines if line.name == "Corn silage")
    assert set(entries[:2]) <= set(silage["change_kg"].entries())
    cp = next(line for line in report.table("figures").lines if line.name == "cp")
    assert set(entries[:2]) <= set(cp["change"].entries())

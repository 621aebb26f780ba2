"""Correcting and striking: the wrong entry stays readable, the thing it was about stays the same thing."""

from __future__ import annotations

import pytest

from herdbook.errors import ChoreRefused, Refused
from tests.book import reference_chain
from tests.yard import ADA, CLEO, DAY, HOUR, Yard


def entry_of(yard: Yard, chore: str) -> int:
    """The newest standing entry of a chore."""
    return int(
        yard.row("SELECT max(number) AS n FROM entry WHERE chore = ? AND struck_by IS NULL", chore)["n"]
    )


def test_a_struck_entry_stays_readable_and_counts_no_more(yard: Yard) -> None:
    wrong = yard.do("head", pen="High", head="520").entry
    strike = yard.do("strike", entry=str(wrong), because="one nought too many")
    struck = yard.row("SELECT * FROM entry WHERE number = ?", wrong)
    assert struck["struck_by"] == strike.entry
    assert struck["said"].endswith("520 cows, was 52.")
    assert yard.row("SELECT note, strikes FROM entry WHERE number = ?", strike.entry) == {
        "note": "one nought too many",
        "strikes": wrong,
    }
    assert yard.do("head", pen="High", head="53").said == "High: 53 cows, was 52."
    assert reference_chain.faults(yard.path) == []


def test_an_entry_is_struck_once(yard: Yard) -> None:
    wrong = yard.do("head", pen="High", head="520").entry
    strike = yard.do("strike", entry=str(wrong)).entry
    state = yard.pages()
    for again in (
        lambda: yard.do("strike", entry=str(wrong)),
        lambda: yard.do("head", pen="High", head="53", corrects=wrong),
    ):
        with pytest.raises(ChoreRefused, match=f"was struck by entry {strike}"):
            again()
    assert yard.pages() == state


def test_what_is_not_there_is_neither_struck_nor_corrected(yard: Yard) -> None:
    state = yard.pages()
    with pytest.raises(ChoreRefused, match="There is no entry 9999"):
        yard.do("strike", entry="9999")
    with pytest.raises(ChoreRefused, match="There is no entry 9999"):
        yard.do("head", pen="High", head="53", corrects=9999)
    assert yard.pages() == state


def test_the_first_entry_and_a_strike_are_neither_struck_nor_corrected(yard: Yard) -> None:
    wrong = yard.do("head", pen="High", head="520").entry
    strike = yard.do("strike", entry=str(wrong)).entry
    other = yard.do("head", pen="High", head="54").entry
    state = yard.pages()
    for number in (1, strike):
        with pytest.raises(ChoreRefused, match="cannot be struck"):
            yard.do("strike", entry=str(number))
    with pytest.raises(ChoreRefused, match="cannot be corrected"):
        yard.do("strike", entry=str(other), corrects=strike)
    with pytest.raises(ChoreRefused):
        yard.do("start", name="Other", zone="UTC", owner="Ada", corrects=1)
    assert yard.pages() == state


def test_an_entry_of_another_kind_is_not_corrected(yard: Yard) -> None:
    with pytest.raises(ChoreRefused, match="of another kind"):
        yard.do("head", pen="High", head="53", corrects=entry_of(yard, "temperature"))


def test_correcting_writes_one_entry_that_strikes_and_replaces(yard: Yard) -> None:
    wrong, before = entry_of(yard, "temperature"), yard.entries
    right = yard.do("temperature", reading="38.2", corrects=wrong, note="misread")
    assert yard.entries == before + 1
    assert yard.row("SELECT struck_by FROM entry WHERE number = ?", wrong)["struck_by"] == right.entry
    assert yard.row("SELECT note FROM entry WHERE number = ?", right.entry)["note"] == "misread"
    assert reference_chain.faults(yard.path) == []


def test_a_correction_the_next_day_keeps_the_moment_the_entry_was_about(yard: Yard) -> None:
    """A reading typed without a time was read when it was typed; its correction must not move it to today."""
    then = yard.now_s
    wrong = yard.do("temperature", reading="45").entry
    yard.now_s += DAY
    first = yard.do("temperature", reading="44", corrects=wrong).entry
    yard.now_s += DAY
    second = yard.do("temperature", reading="43", corrects=first).entry
    for entry in (wrong, first, second):
        assert yard.row("SELECT read_at FROM temperature WHERE entry = ?", entry)["read_at"] == then
        assert yard.row("SELECT farm_day FROM entry WHERE number = ?", entry)["farm_day"] == "2026-03-09"
    assert (
        yard.row("SELECT written_ms FROM entry WHERE number = ?", second)["written_ms"] == yard.now_s * 1000
    )


def test_a_corrected_load_is_still_the_load_its_drops_came_from(yard: Yard) -> None:
    drop = yard.row("SELECT * FROM feed_drop")
    plan = yard.row("SELECT * FROM load_plan")
    right = yard.do(
        "load", pen="High", planned=["corn=2,600", "mineral=40"], corrects=entry_of(yard, "load")
    ).entry
    now = yard.row("SELECT * FROM load_plan WHERE entry = ?", right)
    assert now["load"] == plan["load"] == drop["load"]
    assert (now["number"], now["farm_day"]) == (plan["number"], plan["farm_day"])
    assert yard.do("drop", load="1", pen="High", weight="20").said.startswith("High got 20 lb of load 1")


def test_a_load_moved_to_another_day_takes_that_days_next_number(yard: Yard) -> None:
    yard.do("head", pen="High", head="50", counted="y 0500")
    yard.do("pen-ration", pen="High", ration="High 1", since="-2")
    yard.do("ration", name="High 1", item=["corn=40", "mineral=0.5"], since="-2")
    yard.do("load", pen="High", started="y 0600", planned="corn=1000")
    yard.do("load", pen="High", started="y 0700", planned="corn=1000", corrects=entry_of_first_load(yard))
    names = yard.rows(
        "SELECT load_plan.farm_day, load_plan.number FROM load_plan JOIN entry ON entry.number = load_plan.entry "
        "WHERE struck_by IS NULL ORDER BY 1, 2"
    )
    assert [tuple(name.values()) for name in names] == [("2026-03-08", 1), ("2026-03-08", 2)]


def entry_of_first_load(yard: Yard) -> int:
    return int(yard.row("SELECT min(number) AS n FROM entry WHERE chore = 'load'")["n"])


def test_a_corrected_name_is_the_same_pen(yard: Yard) -> None:
    pen = yard.ground().names["pen"]["High"]
    wrong = int(yard.row("SELECT entry FROM pen_card WHERE pen = ?", pen)["entry"])
    yard.do("pen", name="High south", head="52", corrects=wrong)
    names = yard.ground().names["pen"]
    assert names["High south"] == pen
    assert "High" not in names
    assert yard.row("SELECT walk FROM pen_card WHERE name = 'High south'")["walk"] == 1


def test_a_correction_may_keep_its_own_name_but_not_take_anothers(yard: Yard) -> None:
    wrong = int(yard.row("SELECT entry FROM pen_card WHERE name = 'High'")["entry"])
    with pytest.raises(Refused, match="already a pen called far DRY"):
        yard.do("pen", name="far DRY", corrects=wrong)
    yard.do("pen", name="High", kind="sick", head="50", corrects=wrong)


def test_the_first_version_of_a_ration_cannot_be_renamed_to_another_ration(yard: Yard) -> None:
    yard.do("ration", name="Dry 1", item=["corn=20", "mineral=0.3"])
    first = int(yard.row("SELECT min(number) AS n FROM entry WHERE chore = 'ration'")["n"])
    state = yard.pages()
    with pytest.raises(Refused, match="already a ration called Dry 1"):
        yard.do("ration", name="Dry 1", item=["corn=20", "mineral=0.3"], corrects=first)
    assert yard.pages() == state
    yard.do("ration", name="High one", item=["corn=20", "mineral=0.3"], corrects=first)
    assert list(yard.ground().names["ration"]) == ["Dry 1", "High one"] or set(
        yard.ground().names["ration"]
    ) == {
        "Dry 1",
        "High one",
    }


def test_what_others_lean_on_is_not_struck(yard: Yard) -> None:
    pen = int(yard.row("SELECT entry FROM pen_card WHERE name = 'High'")["entry"])
    state = yard.pages()
    with pytest.raises(ChoreRefused, match=r"lean on entry \d+ \(\d+, .*Correct it instead"):
        yard.do("strike", entry=str(pen))
    assert yard.pages() == state


def test_a_corrected_card_is_not_struck_from_under_what_leans_on_the_thing(yard: Yard) -> None:
    """The second card names the tank, though the first made it: without it the readings would hang in the air."""
    right = yard.do("tank", name="North", holds="22000", corrects=entry_of(yard, "tank")).entry
    with pytest.raises(ChoreRefused, match="lean on entry"):
        yard.do("strike", entry=str(right))
    assert "North" in yard.ground().names["tank"]


def test_what_nothing_leans_on_any_more_can_be_struck(yard: Yard) -> None:
    pen = yard.do("pen", name="Hutch").entry
    head = yard.do("head", pen="Hutch", head="3").entry
    with pytest.raises(ChoreRefused, match=rf"\({head}\)"):
        yard.do("strike", entry=str(pen))
    yard.do("strike", entry=str(head))
    yard.do("strike", entry=str(pen))
    assert "Hutch" not in yard.ground().names["pen"]
    assert yard.do("pen", name="Hutch").entry == yard.entries


def test_a_thing_struck_meanwhile_is_refused_by_name(yard: Yard) -> None:
    pen = yard.do("pen", name="Hutch").entry
    draft = yard.draft("head", pen="Hutch", head="3")
    yard.do("strike", entry=str(pen))
    state = yard.pages()
    from herdbook.chores.doing import find_chore

    with pytest.raises(Refused, match="pen: that pen is not in the book") as refused:
        find_chore("head")(yard.book, draft, by=ADA, now=yard.now)
    assert refused.value.field == "pen"
    assert yard.pages() == state


def test_correcting_an_earlier_scale_reading_counts_only_what_was_in_before_it(yard: Yard) -> None:
    yard.do("weigh", load="1", feed="mineral", scale="2,735", weighed="-170")
    first = int(yard.row("SELECT min(number) AS n FROM entry WHERE chore = 'weigh'")["n"])
    right = yard.do("weigh", load="1", feed="corn", scale="2,680", weighed="-175", corrects=first)
    # planned: 52 head x 17.3 lb / 33.6 % = 2,677 lb, to the scale's step of 5 lb: 2,675 lb
    # the scale showed 2,735 with the mineral in: 55 of it, if 2,680 were in before; it was written as 45
    mineral = right.entry - 1
    assert right.said == (
        "Load 1, Corn silage, 2,680 lb, +5 lb. Mineral mix after it stays 45 lb; by its scale reading it is "
        f"55 lb: if that was right, `herdbook write weigh --corrects {mineral}` moves it."
    )
    again = yard.do("weigh", load="1", feed="mineral", scale="2,735", weighed="-170", corrects=mineral)
    assert again.said.startswith("Load 1, Mineral mix, 55 lb, +15 lb.")  # 0.8 lb x 52 = 41.6, on the step 40


def test_a_feed_weighed_by_itself_keeps_its_weight_and_the_next_on_the_scale_is_in_doubt(yard: Yard) -> None:
    yard.do("load", pen="High")
    corn = yard.do("weigh", load="2", feed="corn", scale="2,690").entry
    yard.do("weigh", load="2", feed="mineral", weight="40")
    by_scale = yard.do("weigh", load="2", feed="mineral", scale="2,740").entry
    right = yard.do("weigh", load="2", feed="corn", scale="2,680", corrects=corn)
    # 2,740 less 2,680 and the 40 that were weighed by themselves
    assert "Mineral mix after it stays 10 lb; by its scale reading it is 20 lb" in right.said
    moved = yard.do("weigh", load="2", feed="mineral", scale="2,740", corrects=by_scale)
    assert moved.said.startswith("Load 2, Mineral mix, 20 lb")
    assert "after it" not in moved.said


def test_a_weight_put_right_by_itself_puts_the_next_scale_reading_in_doubt_too(yard: Yard) -> None:
    yard.do("load", pen="High")
    corn = yard.do("weigh", load="2", feed="corn", scale="2,690").entry
    yard.do("weigh", load="2", feed="mineral", scale="2,735")
    same = yard.do("weigh", load="2", feed="corn", weight="2,690", corrects=corn)
    assert "after it" not in same.said
    above = yard.do("weigh", load="2", feed="corn", scale="2,750", corrects=same.entry)
    assert "Mineral mix after it stays 45 lb; its scale reading is below this one" in above.said


def test_weights_written_in_the_same_minute_stay_in_their_order(yard: Yard) -> None:
    yard.do("load", pen="High")
    one = yard.do("weigh", load="2", feed="corn", scale="2,690").entry
    yard.do("weigh", load="2", feed="mineral", scale="2,735")
    right = yard.do("weigh", load="2", feed="corn", scale="2,680", corrects=one)
    assert right.said.startswith("Load 2, Corn silage, 2,680 lb")
    again = yard.do("weigh", load="2", feed="corn", scale="2,670", corrects=right.entry)
    assert again.said.startswith("Load 2, Corn silage, 2,670 lb")


def test_the_end_of_a_milking_written_by_itself_stays_its_end(yard: Yard) -> None:
    start = yard.do("milking", started="-60").entry
    end = yard.do("milked", ended="-10", cows="100").entry
    with pytest.raises(Refused, match=f"the end of this milking stands in entry {end}"):
        yard.do("milking", started="-70", ended="-5", corrects=start)
    with pytest.raises(Refused, match="the milking ended at"):
        yard.do("milking", started="-5", corrects=start)
    yard.do("milking", started="-70", corrects=start)
    ends = yard.rows("SELECT milking_end.milking FROM milking_end JOIN entry ON entry.number = entry "
                     "WHERE struck_by IS NULL")  # fmt: skip
    assert len(ends) == len({row["milking"] for row in ends})
    yard.do("milked", ended="-12", cows="101", corrects=end)
    with pytest.raises(ChoreRefused, match="No milking is running"):
        yard.do("milked", ended="-1")


def test_a_milking_that_overlaps_another_is_refused(yard: Yard) -> None:
    yard.do("milking", started="-60")
    with pytest.raises(ChoreRefused, match="has not ended yet"):
        yard.do("milking", started="-30")
    yard.do("milked", ended="-5")
    with pytest.raises(ChoreRefused, match="lasted to"):
        yard.do("milking", started="-30", ended="-1")
    yard.do("milking", started="-4")


def test_who_strikes_stands_in_the_book(yard: Yard) -> None:
    reading = entry_of(yard, "temperature")
    strike = yard.do("strike", entry=str(reading), by=CLEO).entry
    assert yard.row("SELECT person FROM entry WHERE number = ?", strike)["person"] == CLEO.person
    yard.now_s += HOUR
    assert reference_chain.faults(yard.path) == []

"""Amounts that could do harm stop a ration until somebody types why, and every one names its source."""

from __future__ import annotations

from typing import Any

import pytest

from herdbook.book.opening import reading
from herdbook.book.reading.rations import version_in_force
from herdbook.chores.cautions import cautions_of_version, notes_at_the_mixer
from herdbook.errors import ChoreRefused
from tests.yard import Yard

SILAGE = "Corn silage=20 kg dm"


def feed(yard: Yard, name: str, kind: str, *value: str, dry: str = "100", **card: str) -> None:
    yard.do("feed", name=name, kind=kind, **card)
    yard.do("analysis", feed=name, dry=dry, value=list(value), sure="yes")


def refused(yard: Yard, *item: str, name: str = "Trial") -> str:
    """What stands in the way; nothing is written."""
    state = yard.pages()
    with pytest.raises(ChoreRefused) as error:
        yard.do("ration", name=name, item=list(item))
    assert yard.pages() == state
    assert "despite" in error.value.remedy
    return error.value.message


def cautions(yard: Yard, name: str = "Trial") -> list[Any]:
    with reading(yard.path) as connection:
        ground = yard.ground()
        version = version_in_force(connection, ground.find("ration", name), "2026-03-09")
        assert version is not None
        return cautions_of_version(connection, ground, version, at_s=yard.now_s)


def test_ten_times_the_premix_of_the_version_before_is_stopped(yard: Yard) -> None:
    """The teaching example of an overdose: 100 lb of premix in place of 10."""
    feed(yard, "Vitamin premix", "premix", "vit_e=1000")
    yard.do("ration", name="Trial", item=[SILAGE, "Vitamin premix=0.1 lb"])
    said = refused(yard, SILAGE, "Vitamin premix=1 lb")
    assert "1.000 lb dry matter a head is 10 times the 0.100 lb in version 1" in said
    assert "(extension.org)" in said
    assert "a 10th of" in refused(yard, SILAGE, "Vitamin premix=0.01 lb")
    yard.do("ration", name="Trial", item=[SILAGE, "Vitamin premix=0.3 lb"])


def test_a_new_ration_is_held_against_the_farms_other_rations(yard: Yard) -> None:
    feed(yard, "Vitamin premix", "premix", "vit_e=1000")
    yard.do("ration", name="Trial", item=[SILAGE, "Vitamin premix=0.1 lb"])
    assert "in the farm's other rations" in refused(yard, SILAGE, "Vitamin premix=1 lb", name="Another")


def test_forage_may_move_tenfold(yard: Yard) -> None:
    yard.do("ration", name="Trial", item=["Corn silage=20 lb"])
    yard.do("ration", name="Trial", item=["Corn silage=2 lb"])


def test_a_correction_is_not_held_against_what_it_corrects(yard: Yard) -> None:
    feed(yard, "Vitamin premix", "premix", "vit_e=1000")
    wrong = yard.do("ration", name="Trial", item=[SILAGE, "Vitamin premix=1 lb"]).entry
    yard.do("ration", corrects=wrong, name="Trial", item=[SILAGE, "Vitamin premix=0.1 lb"])


UREA = [  # Kertz 2010: at most 135 g a cow, 1 % of the concentrate, 20 % of the crude protein
    (["Urea=0.136 kg", "Meal=14 kg"], "as much nitrogen as 136 g of urea"),
    (["Urea=0.1 kg", "Meal=9.7 kg"], "1.0 % of the concentrate"),
    (["Urea=0.13 kg", "Straw=15 kg", "Salt=14 kg"], "% of the crude protein is not protein"),
]


@pytest.mark.parametrize(("item", "words"), UREA)
def test_urea_over_each_of_its_ceilings_is_stopped(yard: Yard, item: list[str], words: str) -> None:
    feed(yard, "Urea", "protein", "cp=281", "npn_cp=281")
    feed(yard, "Meal", "protein", "cp=30", "npn_cp=0")
    feed(yard, "Straw", "forage", "cp=4")
    feed(yard, "Salt", "mineral", "cp=0")
    said = refused(yard, *item)
    assert words in said
    assert "Prof. Anim. Sci. 26:257" in said


def test_urea_under_every_ceiling_passes(yard: Yard) -> None:
    feed(yard, "Urea", "protein", "cp=281", "npn_cp=281")
    feed(yard, "Meal", "protein", "cp=30", "npn_cp=0")
    yard.do("ration", name="Trial", item=["Urea=0.13 kg", "Meal=14 kg"])
    assert [one.key for one in cautions(yard)] == []


def test_a_feed_past_a_hundred_per_cent_of_protein_counts_as_urea_though_nobody_said_so(yard: Yard) -> None:
    feed(yard, "White salt", "protein", "cp=281")
    assert "Urea and its like (White salt)" in refused(yard, SILAGE, "White salt=0.3 kg")


def test_added_selenium_over_the_legal_ceiling_is_stopped_through_a_mix(yard: Yard) -> None:
    """A premix of 600 mg/kg at 0.03 % of the dry matter is 0.18 mg/kg; the law allows 0.3 added."""
    feed(yard, "Selenium premix", "premix", "se_added=600")
    feed(yard, "Carrier", "grain", "cp=9")
    yard.do("feed", name="Blend", kind="premix")
    yard.do("mix", feed="Blend", part=["Selenium premix=10", "Carrier=90"])
    yard.do("ration", name="Trial", item=["Corn silage=19.94 kg dm", "Blend=0.06 kg"])  # 0.3 % of 20 kg
    with reading(yard.path) as connection:
        from herdbook.reports import catalogue

        report = catalogue.make("ration", connection, yard.ground(), {"name": "Trial"})
    added = next(line for line in report.table("figures").lines if line.name == "se_added")["value"]
    assert added.number == pytest.approx(0.18, abs=1e-6)
    said = refused(yard, "Corn silage=19.89 kg dm", "Blend=0.11 kg", name="More")
    assert "0.33 mg/kg of dry matter" in said
    assert "most of it from Blend" in said
    assert "21 CFR 573.920" in said


def test_monensin_over_the_range_is_stopped(yard: Yard) -> None:
    """22 g a short ton is 24.25 mg/kg of dry matter."""
    feed(yard, "Medicated", "premix", "monensin=2000")
    yard.do("ration", name="Trial", item=["Corn silage=19.76 kg dm", "Medicated=0.24 kg"])  # 24 mg/kg
    assert "Monensin" in refused(yard, "Corn silage=19.75 kg dm", "Medicated=0.25 kg", name="More")


NITRATE = [  # Clemson and Dairyland sheets: over 2,000 mg/kg 35-40 %, over 3,500 25 %, over 4,000 none
    (1900, 60, True), (1900, 45, False), (2500, 45, True), (2500, 35, False), (3800, 30, True), (4500, 5, True),
    (900, 90, False),
]  # fmt: skip


@pytest.mark.parametrize(("level", "share", "stops"), NITRATE)
def test_nitrate_allows_less_of_a_feed_the_more_it_has(
    yard: Yard, level: int, share: int, stops: bool
) -> None:
    feed(yard, "Oat hay", "forage", f"nitrate_n={level}", dry="90")
    item = [f"Corn silage={(100 - share) / 5} kg dm", f"Oat hay={share / 5} kg dm"]
    if not stops:
        yard.do("ration", name="Trial", item=item)
        assert not [one for one in cautions(yard) if one.hard]
        return
    said = refused(yard, *item)
    assert f"nitrate nitrogen {level} mg/kg, {share} % of the dry matter" in said
    assert "Clemson" in said or "Dairyland" in said
    assert "veterinarian" in said


MINERALS = [  # NRC 2005 and Merck: Cu 40, but trouble near 20 fed for long; Se 5; Fe 500; S 0.3 to 0.6; K 2.0
    ("cu", 19, []), ("cu", 21, [True]), ("se", 5.5, [True]), ("fe", 520, [True]), ("s", 0.4, [False]),
    ("s", 0.7, [True]), ("k", 2.4, [False]), ("mg", 0.5, [False]), ("mg", 0.65, [True]), ("ca", 1.6, [True]),
    ("na", 1.1, []), ("na", 1.3, [True]), ("cl", 1.7, []), ("cl", 2.0, [True]),  # salt 3 %: Na 1.18, Cl 1.82
]  # fmt: skip


@pytest.mark.parametrize(("key", "share", "hard"), MINERALS)
def test_minerals_over_tolerable_levels(yard: Yard, key: str, share: float, hard: list[bool]) -> None:
    feed(yard, "Whole diet", "grain", f"{key}={share}", dry="90")
    despite = {"despite": "only to look at it"}
    said = yard.do("ration", name="Trial", item="Whole diet=20 kg dm", **despite).said
    found = [one for one in cautions(yard) if one.key == "mineral"]
    assert [one.hard for one in found] == hard
    assert all("highest tolerable" in one.says and "(" in one.says for one in found)
    assert ("Cautions:" in said) == bool(hard)


def test_a_mineral_that_few_feeds_were_analysed_for_counts_by_what_is_known(yard: Yard) -> None:
    """Cobalt of a mineral mix alone is not the ration's: the mix is 1 % of it."""
    feed(yard, "Trace mix", "mineral", "co=26", "cu=500")
    yard.do("ration", name="Trial", item=["Corn silage=19.8 kg dm", "Trace mix=0.2 kg"])
    assert cautions(yard) == []


def test_toxins_over_their_limits_are_stopped(yard: Yard) -> None:
    feed(yard, "Mouldy corn", "grain", "don=6")
    assert "Deoxynivalenol" in refused(yard, "Corn silage=10 kg dm", "Mouldy corn=10 kg")


def test_a_feed_over_its_own_maximum_is_stopped_alone_and_inside_a_mix(yard: Yard) -> None:
    said = refused(yard, SILAGE, "Mineral mix=1.1 lb")
    assert "1.10 lb a head is over its own maximum of 1.00 lb (the feed's card). Tenfold is poison." in said
    feed(yard, "Carrier", "grain", "cp=9")
    yard.do("feed", name="Blend", kind="grain")
    yard.do("mix", feed="Blend", part=["Mineral mix=20", "Carrier=80"])
    assert "Mineral mix: 1.20 lb a head is over" in refused(yard, SILAGE, "Blend=5 lb", "Mineral mix=0.2 lb")


def test_every_hard_caution_is_told_at_once(yard: Yard) -> None:
    feed(yard, "Bad mix", "mineral", "se_added=900", "cu=9000")
    said = refused(yard, SILAGE, "Bad mix=0.1 kg")
    assert "Added selenium" in said
    assert "Copper" in said


@pytest.mark.parametrize("despite", ["", "x", "yes"])
def test_no_reason_is_no_reason(yard: Yard, despite: str) -> None:
    with pytest.raises(ChoreRefused):
        yard.do("ration", name="Trial", item=[SILAGE, "Mineral mix=1.1 lb"], despite=despite)


def test_the_reason_goes_in_the_entry_with_what_it_passed(yard: Yard) -> None:
    written = yard.do(
        "ration", name="Trial", item=[SILAGE, "Mineral mix=1.1 lb"], despite="short of trace minerals"
    )
    entry = yard.row("SELECT note, said FROM entry WHERE number = ?", written.entry)
    assert entry["note"] == "Despite the caution (most): short of trace minerals"
    assert "over its own maximum" in entry["said"]


def test_a_reason_that_nothing_asked_for_is_not_called_a_caution(yard: Yard) -> None:
    written = yard.do("ration", name="Trial", item=SILAGE, despite="just in case")
    assert yard.row("SELECT note FROM entry WHERE number = ?", written.entry)["note"] == ""


def test_the_hand_at_the_mixer_reads_them_beside_the_feed(yard: Yard) -> None:
    yard.do("ration", name="Trial", item=[SILAGE, "Mineral mix=1.1 lb"], despite="short of trace minerals")
    with reading(yard.path) as connection:
        ground = yard.ground()
        version = version_in_force(connection, ground.find("ration", "Trial"), "2026-03-09")
        assert version is not None
        notes = notes_at_the_mixer(connection, ground, version, at_s=yard.now_s)
    mineral = ground.find("feed", "Mineral mix")
    assert set(notes) == {mineral}
    assert notes[mineral][0] == "Tenfold is poison."
    assert "over its own maximum" in notes[mineral][1]

"""The page that hangs at the mixer, the versions of a ration, and what laboratories found, as they are read."""

from __future__ import annotations

from contextlib import redirect_stdout
from io import StringIO

import pytest

from herdbook.book.opening import reading
from herdbook.cli.printing import print_report
from herdbook.errors import ChoreRefused
from herdbook.reports.catalogue import ground_for_reading
from herdbook.reports.figures import Report
from tests.reports.byre import at, cell, show
from tests.yard import Yard

MON, TUE = "2026-03-02", "2026-03-03"


def printed(yard: Yard, report: Report) -> list[str]:
    with reading(yard.path) as connection:
        ground = ground_for_reading(connection, yard.now_s)
    out = StringIO()
    with redirect_stdout(out):
        print_report(report, ground)
    return out.getvalue().splitlines()


def test_the_page_says_what_a_load_takes_and_what_the_scale_shows(byre: Yard) -> None:
    """150 head at 102 % in two feedings: 76.5 cow-feedings of 35 kg are 2,677.5 kg, one load of a 9 t mixer.

    30 * 76.5 = 2,295 kg of silage and 5 * 76.5 = 382.5 kg of grain, which a scale of 1 kg shows as 383.
    """
    for pen in ("High", "Low"):
        at(byre, f"{MON} 05:00").do("pen-ration", pen=pen, ration="Milk", call="102%", feedings="2")
    report = show(byre, "ration-sheet", name="Milk")
    assert report.facts["loads"].value == 1
    assert (
        report.facts["pens"].value
        == "High (100 head, 102 % call, 2 feedings); Low (50 head, 102 % call, 2 feedings)"
    )
    assert cell(report, "feeds", "Silage", "load_kg").value == 2295
    assert cell(report, "feeds", "Grain", "load_kg").value == 383
    assert cell(report, "feeds", "Grain", "scale_kg").value == 2678
    assert cell(report, "feeds", "Grain", "dm_kg").value == pytest.approx(4)


def test_what_one_mixer_does_not_hold_is_parted_into_even_loads(byre: Yard) -> None:
    # once a day: 150 * 35 = 5,250 kg in a mixer of 2 t are 3 loads of 1,500 and 250 kg
    at(byre, f"{MON} 05:00").do("mixer", name="Small", holds="2000", step="1")
    report = show(byre, "ration-sheet", name="Milk", mixer="Small")
    assert report.facts["loads"].value == 3
    assert cell(report, "feeds", "Silage", "load_kg").value == 1500
    assert cell(report, "feeds", "Grain", "load_kg").value == 250


def test_a_mixer_with_an_order_of_its_own_is_loaded_in_it(byre: Yard) -> None:
    at(byre, f"{MON} 05:00").do("mixer-order", mixer="Wagon", feed=["Grain", "Silage"])
    report = show(byre, "ration-sheet", name="Milk")
    assert [line.name for line in report.table("feeds").lines] == ["Grain", "Silage"]
    assert cell(report, "feeds", "Silage", "scale_kg").value == 150 * 35
    order = byre.row("SELECT DISTINCT entry FROM mixer_feed")["entry"]
    assert order in cell(report, "feeds", "Silage", "scale_kg").entries()


def test_with_several_mixers_the_one_that_mixed_it_last_is_meant(byre: Yard) -> None:
    at(byre, f"{MON} 05:00").do("mixer", name="Small", holds="2000", step="1")
    assert "mixer" not in show(byre, "ration-sheet", name="Milk").facts
    at(byre, f"{MON} 06:00").do(
        "load", pen="High", mixer="Small", planned=["Silage=1500"], loaded=["Silage=1500"]
    )
    assert show(byre, "ration-sheet", name="Milk").facts["mixer"].value == "Small"


def test_the_page_says_who_set_it_from_when_and_where_the_chain_stands(byre: Yard) -> None:
    at(byre, f"{MON} 05:00").do("ration", name="Milk", item=["Silage=28", "Grain=6"], since=TUE, feeding="2")
    report = show(byre, "ration-sheet", name="Milk", on=TUE)
    newest = byre.row("SELECT number, hash FROM entry ORDER BY number DESC LIMIT 1")
    assert report.title == "Milk, version 2, a head and day"
    assert (report.facts["since"].value, report.facts["feeding"].value) == (TUE, 2)
    assert report.facts["set_by"].value == "Ada"
    assert report.facts["entry"].value == newest["number"]
    assert report.facts["chain_head"].value == newest["hash"]
    assert show(byre, "ration-sheet", name="Milk").title.startswith("Milk, version 1")
    with pytest.raises(ChoreRefused, match="no version in force"):
        show(byre, "ration-sheet", name="Milk", on="2026-02-01")


def test_the_page_is_one_page_of_eighty_columns(byre: Yard) -> None:
    """Ten feeds and fourteen targets still fit on one sheet of 66 lines."""
    at(byre, f"{MON} 05:00")
    for place in range(1, 9):
        byre.do(
            "feed",
            name=f"Supplement number {place}",
            kind="grain",
            caution="Keep it from horses; it kills them.",
        )
        byre.do("analysis", feed=f"Supplement number {place}", dry="90", value="cp=12")
    items = ["Silage=30", "Grain=5", *(f"Supplement number {place}=0.{place}" for place in range(1, 9))]
    byre.do("ration", name="Milk", item=items)
    keys = ("cp", "ndf", "adf", "starch", "sugar", "fat", "ash", "ca", "p", "mg", "k", "na", "cl", "s")
    byre.do("targets", ration="Milk", target=[f"{key}=1 2 3" for key in keys])
    lines = printed(byre, show(byre, "ration-sheet", name="Milk"))
    assert max(map(len, lines)) <= 80
    assert len(lines) <= 66
    assert any("Supplement number 8" in line for line in lines)
    assert any("Keep it from horses" in line for line in lines)


def test_versions_tell_what_each_of_them_changed(byre: Yard) -> None:
    at(byre, f"{MON} 05:00").do("feed", name="Salt", kind="mineral")
    byre.do("analysis", feed="Salt", dry="100", value="na=39")
    byre.do("ration", name="Milk", item=["Grain=6", "Silage=12 kg dm", "Salt=0.05"])
    byre.do("ration", name="Milk", item=["Silage=12 kg dm", "Grain=6"], note="Salt is in the trough.")
    byre.do("ration", name="Milk", item=["Grain=6", "Silage=12 kg dm"])
    report = show(byre, "ration-versions", name="Milk")
    changed = {line.name: line["changed"].value for line in report.table("versions").lines}
    assert changed == {
        "version 4": "loading order",
        "version 3": "Salt out, was 0.05 kg",
        "version 2": "Grain 5.00 kg to 6.00 kg; Silage 30.00 kg to 12.00 kg dm; Salt new, 0.05 kg",
        "version 1": "first",
    }
    assert cell(report, "versions", "version 4", "version").says == "in force"
    assert cell(report, "versions", "version 3", "note").value == "Salt is in the trough."


def test_analyses_stand_over_time_with_what_was_not_determined(byre: Yard) -> None:
    at(byre, f"{MON} 05:00").do(
        "analysis", feed="Silage", dry="38", value=["cp=7.5", "starch=nd", "ca=0.25"], sampled="2026-03-01"
    )
    byre.do("feed", name="Hay", kind="forage")
    report = show(byre, "feed-analyses")
    assert report.warnings == ("Without an analysis: Hay.",)
    newest = cell(report, "analyses", "Silage 2026-03-01", "cp_percent")
    assert newest.value == 7.5
    starch = cell(report, "analyses", "Silage 2026-03-01", "starch_percent")
    assert (starch.value, starch.missing) == (None, ("not determined",))
    assert [line.name for line in report.table("analyses").lines][:2] == [
        "Silage 2026-03-01",
        "Silage 2026-02-23",
    ]
    assert cell(report, "spread", "Silage cp", "mean").value == pytest.approx(7.75)
    assert cell(report, "spread", "Silage cp", "spread").value == pytest.approx(
        0.075 * 7.5
    )  # published: too few
    assert cell(report, "spread", "Silage cp", "spread_from").value == "published"
    alone = show(byre, "feed-analyses", feed="Grain")
    assert {line["feed"].value for line in alone.table("analyses").lines} == {"Grain"}

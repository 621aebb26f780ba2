"""A suggestion made from a book: published least-cost problems entered as feeds, another solver, and what it tells."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import linprog

from herdbook.errors import Refused
from herdbook.reports.figures import Report
from herdbook.reports.suggested import Suggested, lines_of, texts_of
from tests.reports.byre import CLOCK, _day, at, cell, show
from tests.yard import Yard

DESPITE = "a printed problem, not a ration"


def farm(path: Path, system: str = "metric") -> Yard:
    return Yard.started(path / "farm.book", at_s=CLOCK.instant(_day("2026-02-23"), 4, 0), system=system)


def enter(
    yard: Yard, feeds: dict[str, tuple[str, float, list[str]]], amounts: dict[str, float], targets: list[str]
) -> Yard:
    """Feeds (kind, cents a kilogram, figures), all of them dry, a ration of some kilograms each, and targets."""
    for name, (kind, cents, values) in feeds.items():
        yard.do("feed", name=name, kind=kind, price=f"{cents * 10:g}")  # cents a kg are tens of them a tonne
        yard.do("analysis", feed=name, dry="100", value=values)
    items = [f"{name}={kg:g}" for name, kg in amounts.items()]
    yard.do("ration", name="Mix", item=items, despite=DESPITE)
    yard.do("targets", ration="Mix", target=targets)
    return yard


def suggested_kg(report: Report) -> list[float]:
    return [line["suggested_kg"].number for line in report.table("feeds").lines]


# a teaching page on least-cost feed mixes: A at least 80, B 50, C 25, D 5 g/kg; A, B, C, D as mg/kg here
DAIRY_MIX = (
    {
        "One": ("grain", 40, ["fe=100", "cu=50", "zn=40", "mn=10"]),
        "Two": ("grain", 60, ["fe=200", "cu=150", "zn=10", "mn=0"]),
        "Filler": ("grain", 0, ["fe=0", "cu=0", "zn=0", "mn=0"]),
    },
    {"One": 0.6, "Two": 0.2, "Filler": 0.2},
    ["dm_intake=1 - 1 kg", "fe=80 - -", "cu=50 - -", "zn=25 - -", "mn=5 - -"],
)
# a textbook's problem: calcium 0.8 to 1.2 %, protein at least 22 %, fibre at most 5 %
POULTRY_MIX = (
    {
        "Limestone": ("mineral", 10, ["ca=38", "cp=0", "adf=0"]),
        "Corn": ("grain", 30.5, ["ca=0.1", "cp=9", "adf=2"]),
        "Soybean": ("protein", 90, ["ca=0.2", "cp=50", "adf=8"]),
    },
    {"Limestone": 0.02, "Corn": 0.6, "Soybean": 0.38},
    ["dm_intake=1 - 1 kg", "ca=0.8 - 1.2", "cp=22 - -", "adf=- - 5"],
)
# alfalfa x, corn y: min x + 2y; x + y >= 10, 3x + y >= 15, x + 6y >= 15
ALFALFA_AND_CORN = (
    {"Alfalfa": ("forage", 1, ["fe=3", "cu=1"]), "Corn": ("grain", 2, ["fe=1", "cu=6"])},
    {"Alfalfa": 8, "Corn": 4},
    ["dm_intake=10 - - kg", "fe_amount=15 - -", "cu_amount=15 - -"],
)
# min 21x + 7y; 70x + 21y >= 168, 9x + 7y >= 27, 7x + y >= 14; printed 18/11 and 28/11 at 52.18, which is not the least
SACKS = (
    {"Soybean": ("protein", 21, ["fe=70", "cu=9", "zn=7"]), "Oats": ("grain", 7, ["fe=21", "cu=7", "zn=1"])},
    {"Soybean": 18 / 11, "Oats": 28 / 11},
    ["fe_amount=168 - -", "cu_amount=27 - -", "zn_amount=14 - -", "dm_intake=- - 20 kg"],
)


@pytest.mark.parametrize(
    ("problem", "amounts", "cents"),
    [
        pytest.param(DAIRY_MIX, [13 / 22, 3 / 22, 6 / 22], 31.8182, id="dairy mix, as printed"),
        pytest.param(POULTRY_MIX, [0.0281708, 0.648572, 0.323257], 49.1563, id="poultry mix, as printed"),
        pytest.param(ALFALFA_AND_CORN, [9, 1], 11, id="alfalfa and corn"),
        pytest.param(SACKS, [87 / 43, 54 / 43], 51.2791, id="sacks, under the printed 52.18"),
    ],
)
def test_published_problems_come_out_of_a_book(tmp_path, problem, amounts, cents) -> None:
    report = show(enter(farm(tmp_path), *problem), "suggestion", name="Mix")
    assert suggested_kg(report) == pytest.approx(amounts, rel=2e-6, abs=2e-6)
    assert report.facts["cost_suggested_cents"].value == pytest.approx(cents, abs=1e-4)
    assert report.facts["fits"].value is True
    assert report.status == 0


def test_a_limit_says_what_a_step_of_it_is_worth(tmp_path) -> None:
    # by re-solving: protein 22 to 23 % costs 1.45170 cents more, calcium 1.2 to 1.3 % saves 0.0196167
    yard = enter(farm(tmp_path), *POULTRY_MIX)
    report = show(yard, "suggestion", name="Mix")
    assert cell(report, "limits", "cp", "binds").value == "CP at least 22 %"
    assert cell(report, "limits", "cp", "step").value == pytest.approx(0.1)
    assert cell(report, "limits", "cp", "worth_cents").value == pytest.approx(0.145170, abs=5e-7)
    assert cell(report, "limits", "ca", "binds").value == "Ca at most 1.2 %"
    assert cell(report, "limits", "ca", "step").value == pytest.approx(0.01)
    assert cell(report, "limits", "ca", "worth_cents").value == pytest.approx(0.00196167, abs=5e-9)
    assert cell(report, "limits", "adf", "binds").value == ""
    assert cell(report, "limits", "adf", "worth_cents").value is None
    assert cell(report, "limits", "adf", "suggested").value == pytest.approx(3.88320, abs=5e-6)
    dearer = show(yard, "suggestion", name="Mix", limit=["cp=22.1 - -"])
    more = dearer.facts["cost_suggested_cents"].number - report.facts["cost_suggested_cents"].number
    assert more == pytest.approx(0.145170, abs=5e-6)


def test_a_mineral_at_its_ceiling_and_one_without_a_ceiling_are_told(tmp_path) -> None:
    yard = enter(farm(tmp_path), *POULTRY_MIX)
    told = show(yard, "suggestion", name="Mix").warnings
    assert "Limestone runs up to a ceiling: Calcium at most 1.2 %." in told
    told = show(yard, "suggestion", name="Mix", limit=["ca=0.8 - -"]).warnings
    (level,) = [said for said in told if said.startswith("Minerals without a high target")]
    assert "Calcium 1.50 %" in level  # NRC 2005


def test_salt_as_the_cheapest_filler_stops_at_what_cattle_bear(tmp_path) -> None:
    mix = (
        {
            "Salt": ("mineral", 1, ["na=39.34", "cl=60.66", "cp=0"]),
            "Corn": ("grain", 30, ["na=0.02", "cl=0.06", "cp=9"]),
        },
        {"Salt": 0.01, "Corn": 0.99},
        ["dm_intake=1 - 1 kg"],
    )
    report = show(enter(farm(tmp_path), *mix), "suggestion", name="Mix")
    salt, _ = suggested_kg(report)
    of_sodium, of_chloride = (1.18 - 0.02) / (39.34 - 0.02), (1.82 - 0.06) / (60.66 - 0.06)
    assert salt == pytest.approx(min(of_sodium, of_chloride), rel=1e-4)


# dry matter %, cents a kg, CP, NDF, starch, Ca, K on dry matter, kg as fed today; composition as in the ration's tests
HERD = {
    "Corn silage": ("forage", 35.1, 6, 8.8, 45.0, 31.0, 0.28, 1.20, 25),
    "Haylage": ("forage", 42.9, 8, 21.9, 43.2, 2.0, 1.37, 3.03, 8),
    "Ground corn": ("grain", 88.1, 20, 9.4, 9.5, 70.0, 0.04, 0.42, 5.5),
    "Soybean meal": ("protein", 89.5, 46, 53.8, 9.8, 2.0, 0.35, 2.41, 3.2),
    "Soy hulls": ("wet by-product", 90.9, 23, 13.9, 60.3, 1.0, 0.63, 1.51, 1.4),
    "Limestone": ("mineral", 99.8, 15, 0, 0, 0, 34.0, 0, 0.2),
}
KEYS = ("cp", "ndf", "starch", "ca", "k")
BOUNDS = {
    "dm_intake": (22.0, 24.0), "cp": (16.0, 17.5), "ndf": (28.0, 34.0), "starch": (23.0, 29.0),
    "ca": (0.7, 1.0), "k": (1.0, 1.6), "forage_share": (50.0, 65.0),
}  # fmt: skip


@pytest.fixture
def herd(tmp_path: Path) -> Yard:
    yard = farm(tmp_path)
    for name, (kind, dry, cents, *values, _) in HERD.items():
        yard.do("feed", name=name, kind=kind, price=f"{cents * 10:g}")
        figures = [f"{key}={value:g}" for key, value in zip(KEYS, values, strict=True)]
        yard.do("analysis", feed=name, dry=f"{dry:g}", value=figures)
    yard.do("ration", name="Herd", item=[f"{name}={its[-1]:g}" for name, its in HERD.items()])
    units = {"dm_intake": " kg"}
    yard.do(
        "targets",
        ration="Herd",
        target=[f"{key}={low:g} - {high:g}{units.get(key, '')}" for key, (low, high) in BOUNDS.items()],
    )
    yard.do("pen", name="High", kind="milking", head="40")
    yard.do("pen-ration", pen="High", ration="Herd", call="105")
    return yard


def by_another_solver(
    bounds: dict[str, tuple[float, float]], most: dict[str, float], also: dict[str, tuple] | None = None
) -> tuple[list[float], float]:
    """The same problem set up by hand for scipy: kilograms as fed and cents."""
    herd = HERD | (also or {})
    dry = np.array([its[1] / 100 for its in herd.values()])
    rows, highs = [], []
    for key, (low, high) in bounds.items():
        if key == "dm_intake":
            whole, low_row, high_row, low_at, high_at = dry, dry, dry, low, high
        else:
            if key == "forage_share":
                figure = np.array([100.0 if its[0] == "forage" else 0.0 for its in herd.values()])
            else:
                figure = np.array([its[3 + KEYS.index(key)] for its in herd.values()])
            whole = figure * dry
            low_row, high_row, low_at, high_at = whole - low * dry, whole - high * dry, 0.0, 0.0
        rows += [-low_row, high_row]
        highs += [-low_at, high_at]
    solved = linprog(
        [its[2] for its in herd.values()],
        A_ub=np.array(rows),
        b_ub=np.array(highs),
        bounds=[(0, most.get(name)) for name in herd],
    )
    assert solved.status == 0
    return list(solved.x), float(solved.fun)


@pytest.mark.parametrize(
    ("texts", "changes", "most"),
    [
        ({}, {}, {}),
        ({"limit": ["cp=17 17.5", "starch=25 27"]}, {"cp": (17.0, 17.5), "starch": (25.0, 27.0)}, {}),
        ({"most": ["Haylage=10 kg"]}, {}, {"Haylage": 10.0}),
        # 16,800 kg for 40 cows at 105 % over 16 days is 25 kg a head
        ({"stock": ["Haylage=16.8 t"], "days": "16"}, {}, {"Haylage": 16_800 / (42 * 16)}),
    ],
)
def test_the_book_and_another_solver_agree(herd: Yard, texts, changes, most) -> None:
    report = show(herd, "suggestion", name="Herd", **texts)
    kg, cents = by_another_solver(BOUNDS | changes, most)
    assert report.facts["cost_suggested_cents"].value == pytest.approx(cents, rel=1e-6)
    assert suggested_kg(report) == pytest.approx(kg, abs=1e-4)
    assert report.facts["heads"].value == pytest.approx(42)
    change = cents - sum(its[2] * its[-1] for its in HERD.values())
    assert report.facts["cost_change_cents"].value == pytest.approx(change, rel=1e-5)
    assert report.facts["herd_cost_change_cents"].value == pytest.approx(42 * change, rel=1e-5)


def test_an_unused_feed_comes_in_under_the_price_that_is_told_and_not_above_it(herd: Yard) -> None:
    herd.do("feed", name="Straw", kind="forage", price="400")
    herd.do("analysis", feed="Straw", dry="90", value=["cp=4", "ndf=76", "starch=1", "ca=0.3", "k=1.4"])
    report = show(herd, "suggestion", name="Herd", also=["Straw"])
    assert cell(report, "feeds", "Straw", "stands").value == "not used"
    turn = cell(report, "feeds", "Straw", "comes_in_below_cents_per_t").number / 100
    used = [
        cell(
            show(herd, "suggestion", name="Herd", also=["Straw"], price=[f"Straw={turn + by:.2f}"]),
            "feeds", "Straw", "suggested_kg",
        ).number
        for by in (0.5, -0.5)
    ]  # fmt: skip
    assert used[0] == 0
    assert used[1] > 0


def test_amounts_stay_between_the_prices_that_are_told(herd: Yard) -> None:
    report = show(herd, "suggestion", name="Herd")
    before = suggested_kg(report)
    low, high = (
        cell(report, "feeds", "Soybean meal", f"stands_{side}_cents_per_t").number / 100
        for side in ("from", "to")
    )
    for price, stays in ((low + 0.5, True), (high - 0.5, True), (low - 0.5, False), (high + 0.5, False)):
        after = suggested_kg(show(herd, "suggestion", name="Herd", price=[f"Soybean meal={price:.2f}"]))
        assert (after == pytest.approx(before, abs=1e-6)) is stays


def test_what_quarrels_is_named_and_any_one_left_out_lets_the_rest_hold(herd: Yard) -> None:
    asked = {"limit": ["starch=40 45", "ndf=33 34"]}
    report = show(herd, "suggestion", name="Herd", **asked)
    assert report.status == 1
    assert report.facts["fits"].value is False
    assert report.warnings[0].startswith("No mix keeps to all limits. Nearest: ")
    names = [line.name for line in report.table("quarrel").lines]
    assert "Starch at least 40 %" in names
    assert len(names) > 1
    for said in names:
        others = [_typed(one) for one in names if one != said]
        none = [key for key in list(BOUNDS)[1:] if key not in [one.partition("=")[0] for one in others]]
        alone = show(herd, "suggestion", name="Herd", limit=[*others, "dm_intake=22 - 24 kg"], without=none)
        assert alone.facts["fits"].value is True, f"without {said!r} the others still quarrel"
    missed = {line.name: line for line in report.table("misses").lines}
    assert missed["starch"]["missed_by"].number == pytest.approx(40 - missed["starch"]["value"].number)
    assert cell(report, "limits", "starch", "suggested").number == pytest.approx(
        missed["starch"]["value"].number
    )


def _typed(bound: str) -> str:
    """One bound of a quarrel, such as `CP at least 16 %`, as an option: `cp=16 - -`."""
    keys = {"Starch": "starch", "NDF": "ndf", "CP": "cp", "Dry matter": "dm_intake", "Forage": "forage_share"}
    name, _, rest = bound.partition(" at ")
    side, number, unit = rest.split()
    unit = " kg" if unit == "kg" else ""
    return f"{keys[name]}={number} - -{unit}" if side == "least" else f"{keys[name]}=- - {number}{unit}"


def test_the_smallest_change_is_none_where_today_keeps_to_everything(herd: Yard) -> None:
    wide = [
        "cp=10 - 25", "ndf=20 - 50", "starch=10 - 40", "ca=0.2 - 3", "k=0.5 - 3", "forage_share=30 - 80",
        "dm_intake=15 - 30 kg",
    ]  # fmt: skip
    report = show(herd, "suggestion", name="Herd", aim="smallest-change", limit=wide)
    assert [line["change_kg"].value for line in report.table("feeds").lines] == [0] * len(HERD)
    moved = show(herd, "suggestion", name="Herd", aim="smallest-change", limit=[*wide[1:], "cp=19 - 25"])
    changed = [line.name for line in moved.table("feeds").lines if line["change_kg"].number]
    assert cell(moved, "limits", "cp", "suggested").value == pytest.approx(19)
    assert 1 <= len(changed) < len(HERD)


def test_a_fixed_feed_stays_and_a_feeds_own_maximum_holds(herd: Yard) -> None:
    herd.do("feed", name="Molasses", kind="liquid", price="1", most="0.5 kg", caution="Sticky.")
    herd.do("analysis", feed="Molasses", dry="75", value=["cp=6", "ndf=0", "starch=0", "ca=1", "k=4"])
    report = show(herd, "suggestion", name="Herd", fix=["Corn silage", "Soy hulls=2 kg"], also=["Molasses"])
    assert cell(report, "feeds", "Corn silage", "suggested_kg").value == pytest.approx(25)
    assert cell(report, "feeds", "Soy hulls", "suggested_kg").value == pytest.approx(2)
    assert cell(report, "feeds", "Soy hulls", "stands").value == "held"
    assert cell(report, "feeds", "Molasses", "suggested_kg").value == pytest.approx(0.5)
    assert cell(report, "feeds", "Molasses", "stands").value == "at its most"
    assert "Molasses: Sticky." in report.warnings


def test_a_feed_of_the_ration_without_a_price_is_held_and_told(byre: Yard) -> None:
    byre.do("feed", name="Salt", kind="mineral")
    byre.do("analysis", feed="Salt", dry="99", value=["cp=0", "ndf=0"])
    byre.do("ration", name="Milk", item=["Silage=30", "Grain=5", "Salt=0.1"])
    byre.do("targets", ration="Milk", target=["cp=10 - 12"])
    report = show(byre, "suggestion", name="Milk")
    assert cell(report, "feeds", "Salt", "suggested_kg").value == pytest.approx(0.1)
    assert report.facts["cost_today_cents"].missing == ("Salt has no price",)
    assert report.facts["cost_today_cents"].value == pytest.approx(250)
    assert any(said.startswith("Salt has no price: it is held") for said in report.warnings)
    assert any(
        said.startswith("Dry matter has no target, so it is held at today's") for said in report.warnings
    )
    # silage 1.25 cents a kg of protein-poor dry matter, grain 2.5: 10 % protein of 16.099 kg is the cheapest
    silage, grain = (cell(report, "feeds", name, "suggested_kg").number for name in ("Silage", "Grain"))
    assert 0.4 * silage + 0.8 * grain == pytest.approx(16)
    assert 0.4 * silage * 8 + 0.8 * grain * 20 == pytest.approx(10 * 16.099)


def test_what_was_not_determined_is_counted_as_the_sheet_does_and_never_as_nothing(byre: Yard) -> None:
    byre.do("feed", name="Hay", kind="forage", price="150")
    byre.do("analysis", feed="Hay", dry="88", value=["ndf=55", "cp=nd"])
    byre.do("ration", name="Milk", item=["Silage=30", "Grain=5", "Hay=2"])
    byre.do("targets", ration="Milk", target=["cp=13 - 14"])
    report = show(byre, "suggestion", name="Milk", fix=["Hay"])
    silage, grain = (cell(report, "feeds", name, "suggested_kg").number for name in ("Silage", "Grain"))
    known = 0.4 * silage + 0.8 * grain
    assert (0.4 * silage * 8 + 0.8 * grain * 20) / known == pytest.approx(13)  # over what was analysed
    assert any(said.startswith("Hay has no crude protein: counted as the rest") for said in report.warnings)
    told = show(byre, "suggestion", name="Milk", fix=["Hay"], count=["Hay=cp 0"])
    silage, grain = (cell(told, "feeds", name, "suggested_kg").number for name in ("Silage", "Grain"))
    assert (0.4 * silage * 8 + 0.8 * grain * 20) / (known + 1.76) == pytest.approx(13)
    assert "Hay is counted with crude protein 0 as told; that was not determined." in told.warnings
    with pytest.raises(Refused, match="Hay has no crude protein"):
        show(byre, "suggestion", name="Milk", unknown="refuse")


def test_a_feed_beside_the_ration_that_lacks_an_analysis_is_left_out_and_told(byre: Yard) -> None:
    byre.do("feed", name="Hay", kind="forage", price="1")
    byre.do("analysis", feed="Hay", dry="88", value=["ndf=55"])
    byre.do("targets", ration="Milk", target=["cp=10 - 14"])
    report = show(byre, "suggestion", name="Milk", also=["Hay"])
    assert cell(report, "feeds", "Hay", "stands").value == "left out"
    assert cell(report, "feeds", "Hay", "suggested_kg").value == 0
    assert any(said.startswith("Hay was left out: it has no crude protein") for said in report.warnings)


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"also": ["Silage", "Chalk"]}, "feed"),
        ({"most": ["Straw=2"]}, "most"),
        ({"also": ["Straw"]}, "also"),
        ({"stock": ["Silage=5 t"]}, "days"),
        ({"count": ["Silage=starch"]}, "count"),
        ({"aim": "dearest"}, "aim"),
    ],
)
def test_what_cannot_be_asked_names_its_field(byre: Yard, texts, field) -> None:
    byre.do("feed", name="Straw", kind="forage")
    byre.do("analysis", feed="Straw", dry="90", value=["cp=4"])
    byre.do("targets", ration="Milk", target=["cp=10 - 14"])
    with pytest.raises(Refused) as refused:
        show(byre, "suggestion", name="Milk", **texts)
    assert refused.value.field == field


def test_accepted_lines_make_the_next_version_and_all_of_them_keep_to_the_targets(herd: Yard) -> None:
    report = show(herd, "suggestion", name="Herd")
    suggested: Suggested = report.data
    lines = lines_of(suggested, herd.ground())
    texts = texts_of("Herd", lines, {line.feed: True for line in lines}, herd.ground())
    at(herd, "2026-02-24 08:00").do("ration", **texts, despite="a test")
    after = show(herd, "ration", name="Herd")
    off = [line.name for line in after.table("figures").lines if line["verdict"].value in ("low", "high")]
    assert off == []
    assert after.facts["cost_cents"].number == pytest.approx(
        report.facts["cost_suggested_cents"].number, abs=0.5
    )


def test_a_line_that_is_not_taken_stays_as_it_was_and_the_basis_is_kept(herd: Yard) -> None:
    at(herd, "2026-02-24 08:00")
    items = ["Corn silage=8.775 kg dm", *(f"{name}={its[-1]:g}" for name, its in list(HERD.items())[1:])]
    herd.do("ration", name="Herd", item=items)
    suggested: Suggested = show(herd, "suggestion", name="Herd").data
    lines = {line.name: line for line in lines_of(suggested, herd.ground())}
    taken = {lines["Corn silage"].feed: True, lines["Haylage"].feed: False}
    texts = texts_of("Herd", list(lines.values()), taken, herd.ground())
    kept = dict(item.rsplit("=", 1) for item in texts["item"])
    assert kept["Haylage"] == "8 kg"
    assert kept["Corn silage"].endswith(" kg dm")
    dry_kg = float(kept["Corn silage"].split()[0])
    assert dry_kg == pytest.approx(suggested.as_fed_kg[0] * 0.351, abs=0.01)


def test_every_figure_rests_on_items_analyses_prices_and_targets(herd: Yard) -> None:
    report = show(herd, "suggestion", name="Herd")
    chores = {
        row["number"]: row["chore"] for row in herd.rows("SELECT number, chore FROM entry")
    }  # fmt: skip
    for figure in (
        cell(report, "feeds", "Haylage", "suggested_kg"),
        report.facts["cost_suggested_cents"],
        cell(report, "limits", "cp", "worth_cents") if cell(report, "limits", "cp", "binds").value else
        report.facts["fits"],
    ):  # fmt: skip
        assert {chores[number] for number in figure.entries()} >= {"ration", "analysis", "feed", "targets"}
    rule = cell(report, "feeds", "Haylage", "suggested_kg").rule
    assert "HiGHS" in rule
    assert "targets from 2026-02-23" in rule


def test_what_is_added_to_feed_is_none_where_it_is_not_told(byre: Yard) -> None:
    # 16 kg of dry matter; only the premix has selenium added: 100 mg/kg, so 0.048 kg dry gives 0.3 mg/kg
    byre.do("feed", name="Premix", kind="premix", price="900")
    byre.do("analysis", feed="Premix", dry="100", value=["cp=0", "ndf=0", "se_added=100"])
    byre.do("ration", name="Milk", item=["Silage=30", "Grain=5", "Premix=0.01"])
    byre.do("targets", ration="Milk", target=["se_added=0.3 - 0.3", "dm_intake=16 - 16 kg", "cp=10 - 12"])
    report = show(byre, "suggestion", name="Milk")
    assert report.facts["fits"].value is True
    assert cell(report, "feeds", "Premix", "suggested_kg").value == pytest.approx(0.048)
    assert cell(report, "limits", "se_added", "suggested").value == pytest.approx(0.3)
    assert not any("selenium" in said and "counted" in said for said in report.warnings)


def test_an_amount_counts_what_was_found_and_says_what_lacks(byre: Yard) -> None:
    # vitamin A: silage 1,000 IU/kg of dry matter, grain not determined: 12,000 IU take 12 kg dry, 30 kg as fed
    byre.do("analysis", feed="Silage", dry="40", value=["cp=8", "ndf=45", "vit_a=1000"])
    byre.do("targets", ration="Milk", target=["vit_a_amount=12000 - -", "dm_intake=15 - 16 kg"])
    report = show(byre, "suggestion", name="Milk")
    silage, grain = (cell(report, "feeds", name, "suggested_kg").number for name in ("Silage", "Grain"))
    assert silage >= 30 - 1e-6
    assert grain == pytest.approx(0)
    assert "Grain has no vitamin A: the amount is counted without it, as its sheet does." in report.warnings


@pytest.mark.parametrize("low", [12.0, 14.0])
def test_a_share_that_part_of_the_ration_lacks_ends_right_at_its_bound_on_the_sheet(
    byre: Yard, low: float
) -> None:
    byre.do("feed", name="Hay", kind="forage", price="150")
    byre.do("analysis", feed="Hay", dry="88", value=["ndf=55", "cp=nd"])
    byre.do("ration", name="Milk", item=["Silage=15", "Grain=2", "Hay=9"])
    byre.do("targets", ration="Milk", target=[f"cp={low:g} - -", "dm_intake=15 - 16 kg"])
    report = show(byre, "suggestion", name="Milk", fix=["Hay"])
    assert cell(report, "limits", "cp", "binds").value == f"CP at least {low:g} %"
    assert cell(report, "limits", "cp", "suggested").value == pytest.approx(low, abs=1e-6)
    assert not any("judges the suggested amounts otherwise" in said for said in report.warnings)

"""Analyses: exact basis, methods, and figures that cannot be or should be looked at twice."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.book.opening import reading
from herdbook.chores.analyses import _on_dry_matter
from herdbook.chores.analysis_sanity import oddities
from herdbook.errors import Refused
from herdbook.reports import catalogue
from tests.yard import Yard


def values(yard: Yard) -> dict[str, Any]:
    newest = yard.row("SELECT max(id) AS id FROM analysis")["id"]
    return {
        row["nutrient"]: row["millionths"]
        for row in yard.rows("SELECT * FROM analysis_value WHERE analysis = ?", newest)
    }


# Union County fact sheet: 14 % as received at 90 % dry matter is 15.5 on dry matter, 8 % at 40 % is 20.0;
# Ontario: 1 ppm at 30 % dry matter is 3.3 ppm; soluble protein is a share of protein, which water does not dilute
AS_RECEIVED = [
    ("90", "cp=14", "cp", 15.5556, 1e-4),
    ("40", "cp=8", "cp", 20.0, 0),
    ("30", "don=1", "don", 3.33333, 1e-5),
    ("35", "sol_cp=50", "sol_cp", 50.0, 0),
    ("35", "ph=3.9", "ph", 3.9, 0),
    ("35", "ndfd30=56", "ndfd30", 56.0, 0),
]


@pytest.mark.parametrize(("dry", "value", "key", "expected", "off"), AS_RECEIVED)
def test_figures_as_received_turn_to_dry_matter_only_where_water_dilutes_them(
    yard: Yard, dry: str, value: str, key: str, expected: float, off: float
) -> None:
    yard.do("analysis", feed="corn", dry=dry, basis="as received", value=value, sure="yes")
    assert values(yard)[key] / 1e6 == pytest.approx(expected, abs=off + 1e-9)


@given(st.integers(0, 10**8), st.integers(10_000, 1_000_000))
def test_as_received_to_dry_and_back_comes_home_to_the_last_millionth(millionths: int, dry_ppm: int) -> None:
    try:
        kept = _on_dry_matter("cp", millionths, "as received", dry_ppm)
    except Refused:
        return
    assert abs(kept * dry_ppm / 1_000_000 - millionths) <= 0.5


# 1,000 mg/kg of nitrate nitrogen are 4,426.72 as nitrate and 7,218.12 as potassium nitrate, by atomic weights
@pytest.mark.parametrize(
    "typed", ["1000", "1000 ppm", "1000 NO3-N", "4426.72 NO3", "0.442672 % NO3", "7218.12 ppm KNO3"]
)
def test_nitrate_is_understood_in_each_form_laboratories_print(yard: Yard, typed: str) -> None:
    yard.do("analysis", feed="corn", dry="34", value=f"nitrate_n={typed}")
    assert values(yard) == {"nitrate_n": 1_000_000_000}


def test_moisture_says_the_same_as_dry_matter(yard: Yard) -> None:
    yard.do("analysis", feed="corn", moisture="66.4")
    assert yard.row("SELECT dry_ppm FROM analysis ORDER BY id DESC LIMIT 1")["dry_ppm"] == 336_000


def test_both_must_make_the_whole(yard: Yard) -> None:
    with pytest.raises(Refused, match="do not make 100 %"):
        yard.do("analysis", feed="corn", dry="34", moisture="60")
    with pytest.raises(Refused, match="Give dry matter, or moisture"):
        yard.do("analysis", feed="corn", value="cp=8")


def test_each_nutrient_keeps_its_own_method(yard: Yard) -> None:
    yard.do(
        "analysis",
        feed="corn",
        dry="34",
        value=["cp=8.5", "ca=0.3", "k=1.1"],
        method="nir",
        method_of=["ca=wet"],
    )
    rows = yard.rows("SELECT nutrient, method FROM analysis_value ORDER BY id DESC LIMIT 3")
    assert {row["nutrient"]: row["method"] for row in rows} == {
        "cp": "near-infrared", "ca": "wet chemistry", "k": "near-infrared",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("method_of", "words"), [("mg=wet", "it has no value"), (["ca=wet", "ca=nir"], "given twice")]
)
def test_a_method_stands_beside_one_value(yard: Yard, method_of: Any, words: str) -> None:
    with pytest.raises(Refused, match=words):
        yard.do("analysis", feed="corn", dry="34", value="ca=0.3", method_of=method_of)


def test_a_report_is_not_older_than_its_sample(yard: Yard) -> None:
    with pytest.raises(Refused, match="before the sample was taken"):
        yard.do("analysis", feed="corn", dry="34", sampled="-1", reported="-3")


@pytest.mark.parametrize(
    ("name", "kind", "dry"),
    [
        (
            "Alfalfa hay",
            "forage",
            "12",
        ),  # a published hay note prints 10-15 % dry matter where it means moisture
        ("Wheat straw", "forage", "10"),
        ("Grass silage", "forage", "71"),
        ("Rolled barley", "grain", "12"),
        ("Salt", "mineral", "2"),
    ],
)
def test_moisture_typed_as_dry_matter_is_asked_about(yard: Yard, name: str, kind: str, dry: str) -> None:
    yard.do("feed", name=name, kind=kind)
    state = yard.pages()
    with pytest.raises(Refused, match="is that its moisture") as refused:
        yard.do("analysis", feed=name, dry=dry)
    assert "sure yes" in refused.value.remedy
    assert yard.pages() == state
    assert "dry matter" in yard.do("analysis", feed=name, dry=dry, sure="yes").said


@pytest.mark.parametrize(
    ("name", "kind", "dry"),
    [
        ("Alfalfa hay", "forage", "88"),
        ("Corn silage 2", "forage", "37"),
        ("Brewers grains", "wet by-product", "24"),
        ("High-moisture corn", "grain", "71.8"),
        ("Fresh grass", "forage", "18"),  # nothing says hay or silage
    ],
)
def test_usual_dry_matter_is_not_asked_about(yard: Yard, name: str, kind: str, dry: str) -> None:
    yard.do("feed", name=name, kind=kind)
    assert "Look" not in yard.do("analysis", feed=name, dry=dry).said


def test_components_past_the_whole_are_refused_and_a_little_past_is_said(yard: Yard) -> None:
    with pytest.raises(Refused, match=r"CP 40 \+ NDF 45 \+ Fat 5 \+ Ash 26 make 116.0 % of dry matter"):
        yard.do("analysis", feed="corn", dry="34", value=["cp=40", "ndf=45", "fat=5", "ash=26", "ndicp=2"])
    said = yard.do(
        "analysis", feed="corn", dry="34", value=["cp=25", "ndf=55", "fat=5", "ash=20", "ndicp=2"]
    ).said
    assert "more than 100 and the 2.0 of protein bound in NDF" in said


def test_urea_may_pass_a_hundred_per_cent_of_protein(yard: Yard) -> None:
    yard.do("feed", name="Urea", kind="protein")
    said = yard.do(
        "analysis", feed="Urea", dry="99", value=["cp=281", "npn_cp=281", "ndf=0", "fat=0", "ash=0"]
    ).said
    assert "Look" not in said
    assert values(yard)["cp"] == 281_000_000


@pytest.mark.parametrize("value", ["ndf=101", "starch=160", "ca=120"])
def test_other_shares_of_the_whole_are_not_past_it(yard: Yard, value: str) -> None:
    with pytest.raises(Refused, match="% of dry matter cannot be"):
        yard.do("analysis", feed="corn", dry="34", value=value)


def test_a_part_larger_than_its_whole_is_said(yard: Yard) -> None:
    assert (
        "ADF 48 is more than NDF 45"
        in yard.do("analysis", feed="corn", dry="34", value=["adf=48", "ndf=45"]).said
    )


def test_a_figure_in_the_wrong_column_is_said(yard: Yard) -> None:
    assert "odd for a forage" in yard.do("analysis", feed="corn", dry="34", value=["ca=8.8"]).said


def test_a_shift_since_the_last_analysis_is_said_with_both_figures(yard: Yard) -> None:
    yard.now_s += 20 * 86_400
    said = yard.do("analysis", feed="corn", dry="34", value=["cp=8.4", "ndf=34", "ca=0.29"]).said
    assert "NDF 34, was 45" in said  # 24 % off; protein 4.5 % and calcium 3.6 % are within what feeds vary by
    assert "CP 8.4" not in said
    assert "Ca 0.29" not in said
    assert "Colorado State 1.615" in said


# Published tables of composition (NRC 2001, table 15-1, as recalled; Alabama by-product table): all must pass
KEYS = ("cp", "ndicp", "adicp", "ndf", "adf", "lignin", "fat", "ash")
ROWS = [
    ("corn silage", "forage", 35.1, (8.8, 1.3, 0.8, 45.0, 28.1, 2.6, 3.2, 4.3)),
    ("legume haylage", "forage", 42.9, (21.9, 2.9, 1.9, 43.2, 35.2, 7.3, 2.2, 11.0)),
    ("grass hay", "forage", 87, (13.3, 4.7, 1.3, 57.7, 36.9, 4.9, 2.5, 8.8)),
    ("corn grain", "grain", 88.1, (9.4, 0.7, 0.3, 9.5, 3.4, 0.9, 4.2, 1.5)),
    ("soybean meal", "protein", 89.5, (53.8, 0.7, 0.4, 9.8, 6.2, 0.7, 1.1, 6.4)),
    ("DDGS", "protein", 90.2, (29.7, 8.6, 5.0, 38.8, 19.7, 4.3, 10.0, 5.2)),
    ("cottonseed", "protein", 90.1, (23.5, 2.4, 1.9, 50.3, 40.1, 12.9, 19.3, 4.2)),
    ("beet pulp", "wet by-product", 88.3, (10.0, 5.0, 0.7, 45.8, 23.1, 1.6, 1.1, 7.3)),
    ("wheat straw", "forage", 92.7, (4.8, 1.3, 1.0, 73.0, 49.4, 8.8, 1.6, 7.6)),
    ("calcium soaps", "fat", 95.3, (0.0, None, None, 0.0, 0.0, None, 84.5, 15.5)),
]  # fmt: skip


@pytest.mark.parametrize(("name", "kind", "dry", "figures"), ROWS, ids=[row[0] for row in ROWS])
def test_feeds_of_published_tables_are_not_odd(
    name: str, kind: str, dry: float, figures: tuple[float | None, ...]
) -> None:
    values = {key: one for key, one in zip(KEYS, figures, strict=True) if one is not None}
    assert oddities(name=name, kind=kind, dry_percent=dry, values=values, before=None) == []


def test_minerals_by_near_infrared_are_flagged_where_the_cation_anion_difference_rests_on_them(
    yard: Yard,
) -> None:
    minerals = ["na=0.02", "k=1.1", "cl=0.25", "s=0.12"]
    yard.do("analysis", feed="corn", dry="33.6", value=minerals, method="wet", method_of=["k=nir"])
    yard.do("ration", name="High 1", item="Corn silage=17 lb dm")
    with reading(yard.path) as connection:
        report = catalogue.make("ration", connection, yard.ground(), {"name": "High 1"})
    dcad = next(line for line in report.table("figures").lines if line.name == "dcad")["value"]
    assert dcad.number is not None
    assert dcad.flag == "?"
    assert any("near infrared" in word and "Corn silage: k" in word for word in dcad.missing)
    yard.do("analysis", feed="corn", dry="33.6", value=minerals, method="wet")
    with reading(yard.path) as connection:
        report = catalogue.make("ration", connection, yard.ground(), {"name": "High 1"})
    assert next(line for line in report.table("figures").lines if line.name == "dcad")["value"].missing == ()

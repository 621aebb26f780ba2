"""A ration a head and day, entered through the chores, against a published ration and sums worked out apart."""

from __future__ import annotations

import pytest

from herdbook.errors import ChoreRefused
from herdbook.reports.figures import Figure, Report
from tests.reports.byre import at, cell, show
from tests.yard import Yard

LB = 0.45359237

# PMC5355475 (2017), Table 2, g/kg of dry matter (dry matter in g/kg as fed):
# grass silage, corn silage, concentrate, and the mixed ration as printed; None is "-" in print, not determined
PUBLISHED = {
    "dm": (554, 316, 878, 465),
    "ash": (91, 41, 120, 79),
    "cp": (140, 80, 394, 192),
    "fat": (30, 35, 33, 33),
    "ndf": (542, 333, 203, 357),
    "adf": (322, 202, 101, 208),
    "lignin": (15, 9, 17, 13),
    "starch": (None, 373, 18, 154),
    "sugar": (89, None, 137, 68),
}
# the shares of dry matter behind the printed ration, recovered by least squares (printed as 30, 40 and 30 %)
SHARES = (0.302, 0.399, 0.299)


def figure(report: Report, key: str, column: str = "value") -> Figure:
    return cell(report, "figures", key, column)


@pytest.fixture
def published(byre: Yard) -> Report:
    """The published ration, 20 kg of dry matter, written as the nutritionist would."""
    at(byre, "2026-03-02 09:00")
    for place, (feed, kind) in enumerate(
        (("Grass", "forage"), ("Corn", "forage"), ("Concentrate", "protein"))
    ):
        byre.do("feed", name=feed, kind=kind)
        values = [
            f"{key}=nd" if line[place] is None else f"{key}={line[place] / 10:g}"
            for key, line in PUBLISHED.items()
            if key != "dm"
        ]
        byre.do("analysis", feed=feed, dry=f"{PUBLISHED['dm'][place] / 10:g}", value=values)
    items = [
        f"{feed}={20 * share:g} kg dm"
        for feed, share in zip(("Grass", "Corn", "Concentrate"), SHARES, strict=True)
    ]
    byre.do("ration", name="Published", item=items)
    return show(byre, "ration", name="Published")


def test_dry_matter_of_the_mix_is_the_harmonic_mean_that_is_printed(published: Report) -> None:
    # 1 / (0.302 / 0.554 + 0.399 / 0.316 + 0.299 / 0.878) = 46.53 %; a plain mean by share would be 55.6 %
    by_hand = 100 / (0.302 / 0.554 + 0.399 / 0.316 + 0.299 / 0.878)
    assert published.facts["dm_percent"].value == pytest.approx(by_hand, abs=1e-4)
    assert published.facts["dm_percent"].value == pytest.approx(PUBLISHED["dm"][3] / 10, abs=0.1)
    assert published.facts["dm_kg"].value == pytest.approx(20, abs=1e-5)
    assert published.facts["as_fed_kg"].value == pytest.approx(20 / by_hand * 100, abs=1e-3)


@pytest.mark.parametrize("key", ["ash", "cp", "fat", "ndf", "adf", "lignin"])
def test_the_printed_figures_come_out(published: Report, key: str) -> None:
    # printed to 1 g/kg, shares known to three places: 1 g/kg is 0.1 %
    assert figure(published, key).value == pytest.approx(PUBLISHED[key][3] / 10, abs=0.1)
    assert figure(published, key).missing == ()


@pytest.mark.parametrize(("key", "without", "percent"), [("starch", "Grass", 30.2), ("sugar", "Corn", 39.9)])
def test_not_determined_is_not_zero_and_its_share_is_said(
    published: Report, key: str, without: str, percent: float
) -> None:
    # the printed ration takes the dash as nothing: that is the amount over all 20 kg
    assert figure(published, key, "amount").number / 20 * 100 == pytest.approx(
        PUBLISHED[key][3] / 10, abs=0.1
    )
    # the share is over the dry matter that was analysed for it
    line = PUBLISHED[key]
    known = [(share, value) for share, value in zip(SHARES, line[:3], strict=True) if value is not None]
    mean = sum(share * value for share, value in known) / sum(share for share, _ in known) / 10
    assert figure(published, key).value == pytest.approx(mean, abs=1e-3)
    assert figure(published, key).flag == "?"
    assert figure(published, key).missing == (f"{percent:.1f} % of the dry matter has no analysis for it",)
    assert figure(published, key, "no_analysis_percent").value == pytest.approx(percent, abs=1e-3)
    assert "not determined" in figure(published, key).inputs[without].says


# composition from memory of NRC 2001 Table 15-1 (not read); what the sums below check is the arithmetic
FEEDS = {  # as fed lb, dry matter %, CP, NDF, Ca, P, K % of dry matter
    "Corn silage": (55, 35.1, 8.8, 45.0, 0.28, 0.26, 1.20),
    "Haylage": (18, 42.9, 21.9, 43.2, 1.37, 0.35, 3.03),
    "Ground corn": (12, 88.1, 9.4, 9.5, 0.04, 0.30, 0.42),
    "Soybean meal": (7, 89.5, 53.8, 9.8, 0.35, 0.70, 2.41),
    "Cottonseed": (4, 90.1, 23.5, 50.3, 0.17, 0.60, 1.13),
    "Soy hulls": (3, 90.9, 13.9, 60.3, 0.63, 0.17, 1.51),
    "Limestone": (0.5, 99.8, 0, 0, 34.0, 0.02, 0),
}


@pytest.fixture
def seven(bare_yard: Yard) -> Yard:
    """A ration of seven feeds in pounds as fed."""
    for feed, (_, dry, cp, ndf, ca, p, k) in FEEDS.items():
        kind = (
            "forage" if feed in ("Corn silage", "Haylage") else "mineral" if feed == "Limestone" else "grain"
        )
        bare_yard.do("feed", name=feed, kind=kind)
        values = [f"cp={cp}", f"ndf={ndf}", f"ca={ca}", f"p={p}", f"k={k}"]
        bare_yard.do("analysis", feed=feed, dry=f"{dry}", value=values)
    bare_yard.do("ration", name="Seven", item=[f"{feed}={its[0]}" for feed, its in FEEDS.items()])
    return bare_yard


def test_seven_feeds_in_pounds_add_up(seven: Yard) -> None:
    report = show(seven, "ration", name="Seven")
    # worked out apart, to the digits given: 99.5 lb as fed, 50.6940 lb dry, 50.9487 %
    assert report.facts["as_fed_kg"].number / LB == pytest.approx(99.5, abs=1e-4)
    assert report.facts["dm_kg"].number / LB == pytest.approx(50.6940, abs=1e-4)
    assert report.facts["dm_percent"].value == pytest.approx(50.9487, abs=1e-4)
    by_feed = [cell(report, "feeds", feed, "dm_kg").number / LB for feed in FEEDS]
    assert by_feed == pytest.approx([19.305, 7.722, 10.572, 6.265, 3.604, 2.727, 0.499], abs=5e-4)
    assert figure(report, "cp").value == pytest.approx(17.7147, abs=1e-4)
    assert figure(report, "cp", "amount").number / LB == pytest.approx(8.98029, abs=1e-4)
    assert figure(report, "ndf").value == pytest.approx(33.7292, abs=1e-4)
    assert figure(report, "forage_ndf").value == pytest.approx(23.7171, abs=1e-4)
    assert report.facts["forage_percent"].value == pytest.approx(53.3140, abs=1e-4)
    for key, expected in (("ca", 0.747561), ("p", 0.353396), ("k", 1.46552)):
        assert figure(report, key).value == pytest.approx(expected, abs=1e-5)
    assert figure(report, "ca_to_p").value == pytest.approx(0.747561 / 0.353396, abs=1e-4)


def test_wetter_silage_takes_dry_matter_away_unless_it_was_set_dry(seven: Yard) -> None:
    seven.do("dry-matter", feed="Corn silage", dry="30", sure="yes")
    report = show(seven, "ration", name="Seven")
    assert report.facts["dm_kg"].number / LB == pytest.approx(47.8890, abs=1e-4)  # 55 * 0.30 is 2.805 lb less
    items = [f"{feed}={its[0]}" for feed, its in FEEDS.items() if feed != "Corn silage"]
    seven.do("ration", name="Seven", item=["Corn silage=19.305 dm", *items])
    report = show(seven, "ration", name="Seven")
    assert cell(report, "feeds", "Corn silage", "as_fed_kg").number / LB == pytest.approx(64.35, abs=1e-4)
    assert report.facts["dm_kg"].number / LB == pytest.approx(50.6940, abs=1e-4)


@pytest.mark.parametrize(
    ("bounds", "word", "off_by"),
    [
        ("11 - -", "ok", None),  # 12 kg at 8 % and 4 kg at 20 %: 1.76 of 16 kg is 11 % crude protein exactly
        ("- - 11", "ok", None),
        ("11.01 - -", "low", -0.01),
        ("- - 10.99", "high", 0.01),
        ("10 11 12", "ok", None),
    ],
)
def test_a_figure_right_at_its_limit_is_ok(byre: Yard, bounds: str, word: str, off_by: float | None) -> None:
    byre.do("targets", ration="Milk", target=f"cp={bounds}")
    report = show(byre, "ration", name="Milk")
    assert figure(report, "cp").value == pytest.approx(11)
    assert figure(report, "cp", "verdict").value == word
    assert figure(report, "cp", "off_by").value == (None if off_by is None else pytest.approx(off_by))
    assert bool(report.warnings) is (word != "ok")
    assert (figure(report, "cp", "verdict").flag == "!") is (word != "ok")


def test_dry_matter_typed_in_pounds_in_three_feeds_meets_a_limit_typed_in_pounds(bare_yard: Yard) -> None:
    # 3 times 16 lb is 48 lb; each is kept in whole milligrams, and 48 lb high must still pass
    for feed in ("A", "B", "C"):
        bare_yard.do("feed", name=feed, kind="forage")
        bare_yard.do("analysis", feed=feed, dry="35")
    bare_yard.do("ration", name="R", item=[f"{feed}=16 lb dm" for feed in "ABC"])
    for bounds in ("- - 48 lb", "48 - - lb"):
        bare_yard.do("targets", ration="R", target=f"dm_intake={bounds}")
        assert figure(show(bare_yard, "ration", name="R"), "dm_intake", "verdict").value == "ok"


def test_a_target_for_what_no_feed_was_analysed_for_has_no_verdict(byre: Yard) -> None:
    byre.do("targets", ration="Milk", target="starch=24 26 28")
    report = show(byre, "ration", name="Milk")
    assert figure(report, "starch").value is None
    assert (figure(report, "starch", "verdict").value, figure(report, "starch", "verdict").flag) == (
        "no value",
        "?",
    )
    assert figure(report, "starch").missing == ("100.0 % of the dry matter has no analysis for it",)


def test_cost_is_weight_times_price_and_a_feed_without_one_is_named(byre: Yard) -> None:
    # 30 kg at 50 a tonne is 1.50, 5 kg at 200 a tonne is 1.00
    assert show(byre, "ration", name="Milk").facts["cost_cents"].value == pytest.approx(250)
    byre.do("feed", name="Salt", kind="mineral")
    byre.do("analysis", feed="Salt", dry="99")
    byre.do("ration", name="Milk", item=["Silage=30", "Grain=5", "Salt=0.1"])
    cost = show(byre, "ration", name="Milk").facts["cost_cents"]
    assert (cost.value, cost.flag, cost.missing) == (pytest.approx(250), "?", ("Salt has no price",))
    byre.do("price", feed="Salt", price="300")
    assert show(byre, "ration", name="Milk").facts["cost_cents"].value == pytest.approx(253)


def test_a_version_counts_from_its_day_on(byre: Yard) -> None:
    at(byre, "2026-03-02 09:00")
    byre.do("ration", name="Milk", item=["Silage=25", "Grain=6"], since="+2")
    for day, version, kg in (("2026-03-03", 1, 35), ("2026-03-04", 2, 31)):
        facts = show(byre, "ration", name="Milk", on=day).facts
        assert (facts["version"].value, facts["as_fed_kg"].value) == (version, pytest.approx(kg))
    with pytest.raises(ChoreRefused, match="no version in force"):
        show(byre, "ration", name="Milk", on="2026-02-01")


def test_of_two_versions_on_a_day_the_later_feeding_ends_it(byre: Yard) -> None:
    at(byre, "2026-03-02 09:00")
    byre.do("ration", name="Milk", item=["Silage=25"], since="2026-03-02", feeding="2")
    byre.do("ration", name="Milk", item=["Silage=20"], since="2026-03-02", feeding="1")
    assert show(byre, "ration", name="Milk").facts["as_fed_kg"].value == pytest.approx(25)


def test_a_struck_version_gives_way_to_the_one_before(byre: Yard) -> None:
    at(byre, "2026-03-02 09:00")
    wrong = byre.do("ration", name="Milk", item=["Silage=25"]).entry
    byre.do("strike", entry=str(wrong))
    assert show(byre, "ration", name="Milk").facts["version"].value == 1


def test_dry_matter_of_a_past_day_is_that_days(byre: Yard) -> None:
    at(byre, "2026-03-03 09:00").do("dry-matter", feed="Silage", dry="30", sure="yes")
    assert show(byre, "ration", name="Milk", on="2026-03-02").facts["dm_kg"].value == pytest.approx(16)
    assert show(byre, "ration", name="Milk", on="2026-03-03").facts["dm_kg"].value == pytest.approx(13)
    assert show(byre, "ration", name="Milk").facts["dm_kg"].value == pytest.approx(13)


def test_nfc_names_the_rule_that_made_it(byre: Yard) -> None:
    # silage 100 - 45 - 8 - 3 - 4 = 40 %, grain 100 - 10 - 20 - 4 - 2 = 64 %: (12 * 40 + 4 * 64) / 16 = 46 %;
    # with 1 % and 2 % of protein bound to fibre it is counted once: 46 + (12 * 1 + 4 * 2) / 16 = 47.25 %
    at(byre, "2026-03-02 09:00")
    for bound in (False, True):
        for feed, ndf, cp, fat, ash, ndicp in (("Silage", 45, 8, 3, 4, 1), ("Grain", 10, 20, 4, 2, 2)):
            values = [f"ndf={ndf}", f"cp={cp}", f"fat={fat}", f"ash={ash}"] + (
                [f"ndicp={ndicp}"] if bound else []
            )
            byre.do("analysis", feed=feed, dry="40" if feed == "Silage" else "80", value=values)
        nfc = figure(show(byre, "ration", name="Milk"), "nfc")
        assert nfc.value == pytest.approx(47.25 if bound else 46)
        assert nfc.rule == ("nfc-ndicp" if bound else "nfc-by-difference")


def test_cautions_are_said_before_anything_is_fed(byre: Yard) -> None:
    byre.do("feed", name="Urea", kind="protein", caution="Never more than the label says.")
    byre.do("analysis", feed="Urea", dry="99")
    byre.do("ration", name="Milk", item=["Silage=30", "Grain=5", "Urea=0.05"])
    assert show(byre, "ration", name="Milk").warnings == ("Urea: Never more than the label says.",)

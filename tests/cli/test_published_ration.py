"""A published mix entered by command reproduces its printed totals: PMC5355475 (2017), table 2, "TMR CON".

Grass silage, corn silage and concentrate at 30, 40 and 30 % of dry matter. The table prints grams in a kilogram of
dry matter, and dry matter in grams in a kilogram as fed; here they are per cent. What the paper leaves blank
(starch of grass silage, sugar of corn silage) was not determined, and is entered so.
"""

from __future__ import annotations

import pytest

from tests.cli.conftest import Keyboard

# printed: dry matter g/kg, then g/kg dry matter; None where the table has a dash
FEEDS: dict[str, tuple[str, int, dict[str, int | None]]] = {
    "Grass silage": (
        "30",
        554,
        {"ash": 91, "cp": 140, "fat": 30, "ndf": 542, "adf": 322, "lignin": 15, "starch": None, "sugar": 89},
    ),
    "Corn silage": (
        "40",
        316,
        {"ash": 41, "cp": 80, "fat": 35, "ndf": 333, "adf": 202, "lignin": 9, "starch": 373, "sugar": None},
    ),
    "Concentrate": (
        "30",
        878,
        {"ash": 120, "cp": 394, "fat": 33, "ndf": 203, "adf": 101, "lignin": 17, "starch": 18, "sugar": 137},
    ),
}
PRINTED = {"ash": 79, "cp": 192, "fat": 33, "ndf": 357, "adf": 208, "lignin": 13, "starch": 154, "sugar": 68}
PRINTED_DRY = 465


@pytest.fixture
def mix(bare_keyboard: Keyboard) -> Keyboard:
    """The book with the three feeds, and 100 kg of the mix's dry matter as a ration."""
    for name, (_, dry, values) in FEEDS.items():
        kind = "protein" if name == "Concentrate" else "forage"
        figures = [f"{key}={'nd' if value is None else value / 10}" for key, value in values.items()]
        options = [word for figure in figures for word in ("--value", figure)]
        assert bare_keyboard("write", "feed", "--name", name, "--kind", kind).status == 0
        answer = bare_keyboard("write", "analysis", "--feed", name, "--dry", str(dry / 10), *options)
        assert answer.status == 0, answer.err
    items = [word for name, (kg, _, _) in FEEDS.items() for word in ("--item", f"{name}={kg} kg dm")]
    answer = bare_keyboard("write", "ration", "--name", "TMR CON", *items)
    assert answer.status == 0, answer.err
    return bare_keyboard


def test_dry_matter_is_total_over_total(mix: Keyboard) -> None:
    """Printed 465 g/kg; a mean of the three percentages by their shares would give 556."""
    facts = mix("show", "ration", "TMR CON", "--as", "json").json["facts"]
    assert facts["dm_percent"] * 10 == pytest.approx(PRINTED_DRY, abs=1)


@pytest.mark.parametrize("key", PRINTED)
def test_a_printed_figure_comes_out(mix: Keyboard, key: str) -> None:
    rows = mix("show", "ration", "TMR CON", "--as", "json").json["tables"]["figures"]
    row = next(row for row in rows if row["name"] == key)
    known = {name: (float(kg), values[key]) for name, (kg, _, values) in FEEDS.items()}
    undetermined = sum(kg for kg, value in known.values() if value is None)
    assert row["no_analysis_percent"] == pytest.approx(undetermined, abs=1e-6)
    assert row["amount"] * 10 == pytest.approx(PRINTED[key], abs=1)  # kg in 100 kg of dry matter


def test_what_was_not_determined_is_said_beside_the_figure(mix: Keyboard) -> None:
    out = mix("explain", "ration", "TMR CON", "starch", "value").out
    assert "30.0 % of the dry matter has no analysis for it" in out
    assert "Grass silage: 66.14 lb dry matter, Starch not determined" in out

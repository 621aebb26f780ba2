"""A suggestion by command: repeated options, the exit status when nothing fits, and where its figures come from."""

from __future__ import annotations

from tests.cli.conftest import Keyboard


def test_when_nothing_fits_the_report_is_printed_and_the_status_is_one(keyboard: Keyboard) -> None:
    answer = keyboard("show", "suggestion", "High 1", "--limit", "cp=15.5 17.5")
    assert answer.status == 1
    assert "! No mix keeps to all limits. Nearest: CP" in answer.out
    assert "These cannot all hold" in answer.out
    assert "CP at least 15.5 %" in answer.out
    assert answer.err == ""


def test_options_may_be_repeated_and_everything_is_said_in_the_farms_units(keyboard: Keyboard) -> None:
    answer = keyboard(
        "show", "suggestion", "High 1", "--without", "cp", "--limit", "dm_intake=19 20 lb", "--fix", "mineral=0.5 lb",
        "--least", "corn=50 lb", "--price", "mineral=800", "--as", "json",
    )  # fmt: skip
    assert answer.status == 0
    feeds = {row["feed"]: row for row in answer.json["tables"]["feeds"]}
    assert round(feeds["Mineral mix"]["suggested_kg"], 4) == round(0.5 * 0.45359237, 4)
    # 19 lb dry, less 0.5 lb of mineral at 97 %, at 33.6 % dry matter: 55.10 lb, over the least of 50
    corn_lb = feeds["Corn silage"]["suggested_kg"] / 0.45359237
    assert round(corn_lb, 3) == round((19 - 0.5 * 0.97) / 0.336, 3)


def test_an_option_that_cannot_be_is_refused_in_two_sentences(keyboard: Keyboard) -> None:
    answer = keyboard("show", "suggestion", "High 1", "--fix", "corn=lots")
    assert answer.status == 2
    assert "fix Corn silage" in answer.err or "fix corn" in answer.err


def test_a_figure_of_a_suggestion_is_explained(keyboard: Keyboard) -> None:
    answer = keyboard("explain", "suggestion", "High 1", "Corn", "silage", "suggested_kg", "--without", "cp")
    assert answer.status == 0
    assert "linear programme by HiGHS" in answer.out
    assert "High 1: 2 targets" in answer.out
    assert "Corn silage: analysis" in answer.out

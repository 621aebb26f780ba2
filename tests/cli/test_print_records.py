"""Records on paper: every field a producer is expected to keep of a treatment, and a tank's temperatures."""

from __future__ import annotations

import pytest

from tests.cli.conftest import Keyboard
from tests.spoiled import harmful, spoil

FIELDS = [  # the lists named at the foot of the record
    "Cow", "Drug", "Amount", "Route", "Reason", "Given", "Given by", "Ordered by", "Prescription", "Milk withheld",
    "Meat withheld", "Milk out until", "Milk went back", "Written by",
]  # fmt: skip


@pytest.fixture
def treated(keyboard: Keyboard) -> Keyboard:
    keyboard.yard.do(
        "treatment",
        cow="412", drug="<b>Tube", milk="96", meat="0", hours_from="label", given=["-60", "-30"],
    )  # fmt: skip
    keyboard.yard.do("milk-back", treatment="412", reason="the veterinarian said so & signed")
    return keyboard


@pytest.mark.parametrize("field", FIELDS)
def test_the_record_has_every_field_that_is_expected_even_where_nothing_was_written(
    treated: Keyboard, field: str
) -> None:
    lines = treated("print", "treatments").out.splitlines()
    assert any(line.startswith(f"{field:20}") for line in lines)


def test_the_record_carries_doses_hours_end_and_reason_with_the_year(treated: Keyboard) -> None:
    sheet = treated("print", "treatments").out
    assert all(len(line) <= 80 for line in sheet.splitlines())
    assert "2026-03-09 09:00; 2026-03-09 09:30" in sheet
    assert "Meat withheld       0 h" in sheet
    assert "Milk out until      2026-03-13 09:30" in sheet
    assert "the veterinarian said so & signed" in sheet
    assert "Route               __________" in sheet
    assert "Keep for 2 years" in sheet


def test_the_html_record_escapes_what_people_wrote(treated: Keyboard) -> None:
    page = treated("print", "treatments", "--as", "html").out
    assert "&lt;b&gt;Tube" in page
    assert "<b>" not in page
    assert "said so &amp; signed" in page
    assert page.count("<section>") == 1


def test_another_span_and_another_cow_are_other_records(treated: Keyboard) -> None:
    assert "No cow was treated" in treated("print", "treatments", "--of", "2026-02-01..2026-02-28").out
    assert "No cow was treated" in treated("print", "treatments", "--cow", "41").out
    assert "412" in treated("print", "treatments", "--cow", "412").out


@pytest.mark.parametrize(
    "words",
    [
        ("treatments",),
        ("treatments", "--as", "html"),
        ("temperature-record",),
        ("temperature-record", "--as", "html"),
    ],
    ids=" ".join,
)
def test_no_record_carries_what_a_terminal_would_obey(treated: Keyboard, words: tuple[str, ...]) -> None:
    treated.yard.book.close()
    spoil(treated.yard.path)
    page = treated("print", *words).out
    assert "[bold red]Boo" in page  # the farm's name is on it
    assert not harmful(page)


def test_it_prints_in_letters_and_as_one_html_file(keyboard: Keyboard) -> None:
    keyboard.yard.do("temperature", reading="38", read="-5", source="<logger>")
    keyboard.yard.do("farm", name="A farm with a long name beside the river", zone="America/Chicago")
    span = ("--of", "2026-03-09..2026-03-09")
    sheet = keyboard("print", "temperature-record", *span).out
    assert sheet.isascii() or "°" in sheet
    assert all(len(line) <= 80 for line in sheet.splitlines())
    assert "times of America/Chicago" in sheet.replace("\n", " ")
    assert "the inspector's and" in sheet
    page = keyboard("print", "temperature-record", *span, "--as", "html").out
    assert "<svg" in page
    assert "&lt;logger&gt;" in page
    assert "<logger>" not in page
    assert "2026-03-09 09:00" in page

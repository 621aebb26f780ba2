"""The treatment record: every treatment of a span with the fields a producer is expected to keep."""

from __future__ import annotations

from typing import Any

from herdbook.book.reading import held as read_held
from herdbook.book.reading.held import TreatmentRow
from herdbook.chores.ground import Ground
from herdbook.chores.held_back import NEVER_OURS
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.held import UNTIL_RULE
from herdbook.reports.spans import Span, last_days

KEEP = (
    "Fields after the US Food and Drug Administration's list (Bovine Veterinarian), Washington State University "
    '("FDA ready" records, hours even if nought), Cornell South Central New York, Ohio Department of Agriculture, '
    "and Quebec P-29, r.1, s. 11.2.31 (date the milk went back). Keep for 2 years by the first two, 3 by Cornell; "
    "local rules may ask for more."
)
DAYS = 60
"""Days shown where no span is given: common practice, no source."""

COLUMNS = (
    Column("cow", "Cow"),
    Column("drug", "Drug, as its label names it"),
    Column("amount", "Amount"),
    Column("route", "Route"),
    Column("reason", "Reason"),
    Column("given", "Given"),
    Column("given_by", "Given by"),
    Column("ordered_by", "Ordered by"),
    Column("order_number", "Prescription"),
    Column("milk_h", "Milk withheld", "h"),
    Column("meat_h", "Meat withheld", "h"),
    Column("hours_from", "Hours stated by"),
    Column("label_words", "In its own words"),
    Column("milk_until", "Milk out until", "time"),
    Column("meat_until", "Meat until", "time"),
    Column("back_at", "Milk went back", "time"),
    Column("early", "Ended early because"),
    Column("written_by", "Written by"),
    Column("entry", "Entry"),
)


def make(connection: Any, ground: Ground, *, of: Span | None = None, cow: str = "") -> Report:
    """The treatments of a span, oldest first.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        of: farm days of the last dose; the last 60 if not given.
        cow: only this cow.
    """
    today = ground.clock.farm_day(ground.now_s)
    span = of or Span(last_days(ground, DAYS - 1).first, today)
    found = [
        one
        for one in read_held.treatments(connection)
        if span.first <= ground.clock.farm_day(one.card["last_given_at"]) <= span.last
        and cow.lower() in ("", one.cow.lower())
    ]
    title = f"Treatment record, {span}" + (f", cow {cow}" if cow else "")
    return Report(
        "treatments",
        title,
        facts={
            "treatments": Figure(
                len(found),
                rule="treatments whose last dose lies in the span",
                entries=entries_of(*(one.card["entry"] for one in found)),
            )
        },
        columns={"treatments": Column("treatments", "Treatments")},
        tables=(
            Table(
                "treatments",
                "Treatments",
                COLUMNS,
                tuple(_line(one, ground) for one in found),
                "No cow was treated in these days.",
            ),
        ),
        warnings=(NEVER_OURS,),
    )


def _line(one: TreatmentRow, ground: Ground) -> Line:
    card, under, over = one.card, entries_of(*one.entries), one.over
    words = {
        key: Figure(card[key] or None, entries=under)
        for key in ("cow", "drug", "amount", "route", "reason", "given_by", "ordered_by", "order_number")
    }
    early = over is not None and over["back_at"] < one.milk_until_s
    return Line(
        f"{one.cow} {card['drug']}",
        {
            **words,
            "given": Figure(
                "; ".join(f"{ground.clock.local(at_s):%Y-%m-%d %H:%M}" for at_s in one.doses), entries=under
            ),
            "milk_h": Figure(card["milk_h"], "h", "as the label or the veterinarian states", entries=under),
            "meat_h": Figure(card["meat_h"], "h", "as the label or the veterinarian states", entries=under),
            "hours_from": Figure(card["hours_from"], entries=under),
            "label_words": Figure(card["label_words"] or None, entries=under),
            "milk_until": Figure(one.milk_until_s, "time", UNTIL_RULE, entries=under),
            "meat_until": Figure(one.meat_until_s, "time", UNTIL_RULE, entries=under),
            "back_at": Figure(None if over is None else over["back_at"], "time", entries=under),
            "early": Figure(
                over["reason"] if early and over is not None else None,
                entries=under,
                flag="!" if early else "",
                says="early" if early else "",
            ),
            "written_by": Figure(one.written_by or None, entries=under),
            "entry": Figure(card["entry"], entries=under),
        },
    )

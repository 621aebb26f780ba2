"""What the reports of the milk house may be asked with."""

from __future__ import annotations

from herdbook.chores.asking import Words
from herdbook.reports.spans import SpanOfDays
from herdbook.reports.spec import DAYS, OF, TANK, Spec

MILK = (
    Spec(
        "tank",
        "milk held, readings, deadlines and whether they are met",
        "tank",
        {"name": TANK},
        position="name",
    ),
    Spec(
        "cooling",
        "verdicts on a tank's milkings over days, what is foreseen of the newest, and the last 60 ranked",
        "cooled",
        {
            "tank": TANK,
            "of": SpanOfDays(label="of", help="days, such as -7..-1 or week; the last seven if not given"),
        },
        position="tank",
    ),
    Spec(
        "cooler",
        "whether a tank's cooler has lost power: heat of the last milkings against the usual",
        "cooler",
        {"tank": TANK},
        position="tank",
    ),
    Spec(
        "wash",
        "washes, how long milk has stood in each tank, thermometer checks",
        "wash",
        {"days": DAYS},
    ),
    Spec(
        "temperature-record",
        "a tank's readings over days with sources, corrections and gaps, for the inspector",
        "temperature_record",
        {
            "tank": TANK,
            "of": SpanOfDays(label="of", help="days, such as -7..-1 or A..B; the last seven if not given"),
        },
        position="tank",
    ),
    Spec("held", "milk held back: cows, until when, tanks that are blocked, results", "held"),
    Spec(
        "alarms",
        "alarms that stand or cleared lately, who looks after them, and the notices of them",
        "alarms",
        {"days": DAYS},
    ),
    Spec(
        "treatments",
        "the treatment record: what was given, by whom, the hours stated, and when the milk went back",
        "treatments",
        {
            "of": SpanOfDays(
                label="of", help="days of the last dose; the last sixty if not given", usual="-59..today"
            ),
            "cow": Words(label="cow", help="only this cow", longest=30),
        },
    ),
    Spec(
        "milk-results",
        "what laboratories found in the milk: fat, protein, cells, bacteria, urea, freezing point, and the limits",
        "milk_results",
        {
            "tank": TANK,
            "of": SpanOfDays(
                label="of",
                help="days of sampling, such as -90..today; the last 180 if not given",
                usual="-179..today",
            ),
        },
        "tank",
    ),
    Spec("pickups", "milk handed over", "pickups", {"of": OF, "days": DAYS}),
)

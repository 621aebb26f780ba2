"""What the reports of mixer and bunk may be asked with."""

from __future__ import annotations

from herdbook.chores.asking import Count, Word
from herdbook.chores.moments import Day
from herdbook.reports.spec import DAYS, OF, PEN, Spec

FEEDING = (
    Spec(
        "intake",
        "dropped, refused and eaten a head, by pen and day",
        "intake",
        {"of": OF, "days": DAYS},
    ),
    Spec(
        "plan",
        "the loads to mix on a day: pens, feeds in the mixer's order, drops, what is begun",
        "feeding_plan",
        {
            "feeding": Count(label="feeding", help="only this feeding of the day", least=1, most=12),
            "of": Day(label="of", help="the day; today if not given", ahead_days=14),
        },
    ),
    Spec(
        "intake-watch",
        "each pen's intake against set, predicted and its own last days: likely falls, heat, changes",
        "intake_watch",
        {"pen": PEN, "of": OF, "days": DAYS},
        position="pen",
    ),
    Spec(
        "bunk",
        "bunk scores, push-ups and refusals of the last days, and what the chosen rule advises on the call",
        "bunk",
        {"pen": PEN, "of": OF, "days": DAYS},
        position="pen",
    ),
    Spec(
        "walk",
        "cows seen and not closed, when each is looked at again, and signs to call the veterinarian for",
        "walk",
        {"days": Count(label="days", help="with those closed in so many days", least=1, most=4_000)},
    ),
    Spec(
        "accuracy",
        "loading errors by person, mixer, feed or load, what they cost, order, time, and intake from day to day",
        "accuracy",
        {
            "of": OF,
            "days": DAYS,
            "by": Word(
                label="by",
                help="person, mixer, feed or load; feed if not given",
                words=("person", "mixer", "feed", "load"),
            ),
        },
    ),
    Spec("loads", "the loads of a day: planned, loaded, dropped", "loads", {"of": OF}),
)

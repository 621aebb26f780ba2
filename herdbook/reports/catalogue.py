"""The reports there are, what each may be asked with, and one way to make any of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from importlib import import_module
from typing import TYPE_CHECKING, Any

from herdbook.chores.asking import Ask, Count, Name, Word, Words, YesNo
from herdbook.chores.ground import Ground
from herdbook.chores.load_names import load_names
from herdbook.chores.measures import PricePerWeight
from herdbook.chores.moments import Day
from herdbook.chores.nutrient_asks import FigureKey, TargetBounds
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.reports.figures import Report
from herdbook.reports.spans import SpanOfDays
from herdbook.reports.suggestion_asks import AIMS, FEED, UNKNOWN, CountedAs, FeedHeld, feed_amount, feed_stock

if TYPE_CHECKING:
    from herdbook.settings import CopiesWatched


@dataclass(frozen=True, slots=True)
class Spec:
    """A report: its name, what it tells, where it is made, and its options.

    Args:
        name: as `herdbook show` calls it.
        title: one line for lists and the manual.
        module: module of this package; its function `make(connection, ground, **options)` returns the report.
        options: option -> what is asked.
        position: the option a bare word after the name fills; empty for none.
        needed: options that must be given.
    """

    name: str
    title: str
    module: str
    options: Mapping[str, Ask] = field(default_factory=dict)
    position: str = ""
    needed: tuple[str, ...] = ()


_OF = Day(label="of", help="a day in it; today if not given")
_DAYS = Count(label="days", help="how many days back", least=1, most=4_000)

_SUGGESTION: Mapping[str, Ask] = {
    "fix": Several(
        label="fix", help="a feed to hold at today's amount, or feed=amount", each=FeedHeld(label="fix")
    ),
    "least": Several(label="least", help="feed=least a head and day", each=feed_amount("least")),
    "most": Several(
        label="most", help="feed=most a head and day, 0 to leave it out", each=feed_amount("most")
    ),
    "also": Several(label="also", help="a feed on offer beside those of the ration", each=FEED),
    "price": Several(
        label="price",
        help="feed=price, in place of the book's",
        each=Pair(label="price", first=FEED, second=PricePerWeight(label="price")),
    ),
    "stock": Several(
        label="stock", help="feed=weight in the store, to last the days", each=feed_stock("stock")
    ),
    "store": YesNo(label="store", help="yes: what the book has in the store of each feed is its stock"),
    "days": Count(label="days", help="how long the stock is to last", least=1, most=1_000),
    "heads": Count(
        label="heads", help="cows it is for; else those of the pens that get it", least=1, most=100_000
    ),
    "limit": Several(
        label="limit",
        help="figure=low high, in place of its target",
        each=Pair(label="limit", first=FigureKey(label="figure"), second=TargetBounds(label="bounds")),
    ),
    "without": Several(
        label="without", help="a figure whose target is left aside", each=FigureKey(label="figure")
    ),
    "count": Several(
        label="count",
        help="feed=nutrient value, to count with where none was determined",
        each=CountedAs(label="count"),
    ),
    "unknown": Word(
        label="unknown",
        help="what else a feed of the ration is counted with for a figure it lacks; as the rest if not given",
        words=UNKNOWN,
    ),
}
"""What a suggestion may be asked with, beside which ration, when and what for."""

SPECS: Mapping[str, Spec] = {
    spec.name: spec
    for spec in (
        Spec("today", "what is due, what is wrong, and how the tank stands", "today"),
        Spec(
            "ration",
            "a ration a head: feeds, dry matter, nutrients against targets, cost",
            "ration",
            {
                "name": Name(label="ration", help="which ration", thing="ration"),
                "on": Day(label="on", help="as it stands on that day", ahead_days=120),
            },
            position="name",
            needed=("name",),
        ),
        Spec(
            "intake",
            "dropped, refused and eaten a head, by pen and day",
            "intake",
            {"of": _OF, "days": _DAYS},
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
            {"pen": Name(label="pen", help="only this pen", thing="pen"), "of": _OF, "days": _DAYS},
            position="pen",
        ),
        Spec(
            "bunk",
            "bunk scores, push-ups and refusals of the last days, and what the chosen rule advises on the call",
            "bunk",
            {"pen": Name(label="pen", help="only this pen", thing="pen"), "of": _OF, "days": _DAYS},
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
                "of": _OF,
                "days": _DAYS,
                "by": Word(
                    label="by",
                    help="person, mixer, feed or load; feed if not given",
                    words=("person", "mixer", "feed", "load"),
                ),
            },
        ),
        Spec("loads", "the loads of a day: planned, loaded, dropped", "loads", {"of": _OF}),
        Spec(
            "tank",
            "milk held, readings, deadlines and whether they are met",
            "tank",
            {"name": Name(label="tank", help="which tank", thing="tank")},
            position="name",
        ),
        Spec(
            "cooling",
            "verdicts on a tank's milkings over days, what is foreseen of the newest, and the last 60 ranked",
            "cooled",
            {
                "tank": Name(label="tank", help="which tank", thing="tank"),
                "of": SpanOfDays(
                    label="of", help="days, such as -7..-1 or week; the last seven if not given"
                ),
            },
            position="tank",
        ),
        Spec(
            "cooler",
            "whether a tank's cooler has lost power: heat of the last milkings against the usual",
            "cooler",
            {"tank": Name(label="tank", help="which tank", thing="tank")},
            position="tank",
        ),
        Spec(
            "wash",
            "washes, how long milk has stood in each tank, thermometer checks",
            "wash",
            {"days": _DAYS},
        ),
        Spec(
            "temperature-record",
            "a tank's readings over days with sources, corrections and gaps, for the inspector",
            "temperature_record",
            {
                "tank": Name(label="tank", help="which tank", thing="tank"),
                "of": SpanOfDays(
                    label="of", help="days, such as -7..-1 or A..B; the last seven if not given"
                ),
            },
            position="tank",
        ),
        Spec("held", "milk held back: cows, until when, tanks that are blocked, results", "held"),
        Spec(
            "alarms",
            "alarms that stand or cleared lately, who looks after them, and the notices of them",
            "alarms",
            {"days": _DAYS},
        ),
        Spec(
            "treatments",
            "the treatment record: what was given, by whom, the hours stated, and when the milk went back",
            "treatments",
            {
                "of": SpanOfDays(label="of", help="days of the last dose; the last sixty if not given"),
                "cow": Words(label="cow", help="only this cow", longest=30),
            },
        ),
        Spec("pickups", "milk handed over", "pickups", {"of": _OF, "days": _DAYS}),
        Spec("week", "a week by farm day: eaten, refused, shipped, milk, exceptions", "week", {"of": _OF}),
        Spec(
            "money",
            "milk sold against feed by week, and cheques against what the milk is worth",
            "money",
            {
                "of": SpanOfDays(
                    label="of", help="days, such as -28..-1 or last week; the last four weeks if not given"
                )
            },
        ),
        Spec(
            "entries",
            "what was written, by whom, struck or not",
            "entries",
            {
                "last": Count(label="last", help="how many, newest first", least=1, most=100_000),
                "of": Day(label="of", help="only of that farm day"),
                "number": Count(label="number", help="one entry, whole", least=1, most=10**12),
            },
            position="number",
        ),
        Spec(
            "evaluation",
            "a pen's ration over a span of days: totals, targets, how sure, second opinions, and where it went astray",
            "evaluation",
            {
                "pen": Name(label="pen", help="which pen", thing="pen"),
                "of": SpanOfDays(
                    label="of", help="days, such as -7..-1, week or last week; the last seven if not given"
                ),
                "which": Word(
                    label="which",
                    help="set, mixed, dropped or eaten, or all four side by side; eaten if not given",
                    words=("set", "mixed", "dropped", "eaten", "all"),
                ),
            },
            needed=("pen",),
        ),
        Spec(
            "sensitivity",
            "a ration's figures if the dry matter of a wet feed moves by 1 to 5 points",
            "sensitivity",
            {
                "name": Name(label="ration", help="which ration", thing="ration"),
                "on": Day(label="on", help="as it stands on that day", ahead_days=120),
                "feed": Name(label="feed", help="only this feed", thing="feed"),
            },
            position="name",
            needed=("name",),
        ),
        Spec(
            "ration-sheet",
            "a ration on one page to print: feeds in loading order, a load, targets, cautions, who set it",
            "ration_sheet",
            {
                "name": Name(label="ration", help="which ration", thing="ration"),
                "on": Day(label="on", help="as it stands on that day", ahead_days=120),
                "mixer": Name(label="mixer", help="the mixer a load is for", thing="mixer"),
            },
            position="name",
            needed=("name",),
        ),
        Spec(
            "ration-versions",
            "every version of a ration: from when, by whom, and what it changed",
            "ration_versions",
            {"name": Name(label="ration", help="which ration", thing="ration")},
            position="name",
            needed=("name",),
        ),
        Spec(
            "feed-analyses",
            "what laboratories found in the feeds over time, and how far it spreads",
            "feed_analyses",
            {"feed": Name(label="feed", help="only this feed", thing="feed")},
            position="feed",
        ),
        Spec(
            "suggestion",
            "a ration's cheapest or least changed amounts within its targets, beside today's",
            "suggestion",
            {
                "name": Name(label="ration", help="which ration", thing="ration"),
                "on": Day(label="on", help="at that day's analyses, prices and targets", ahead_days=120),
                "aim": Word(label="aim", help="least-cost, or smallest-change from today's", words=AIMS),
                **_SUGGESTION,
            },
            position="name",
            needed=("name",),
        ),
        Spec(
            "ration-difference",
            "two versions of a ration side by side: feeds, dry matter and figures",
            "ration_difference",
            {
                "name": Name(label="ration", help="which ration", thing="ration"),
                "from": Count(label="from", help="the earlier version; the one before if not given", least=1),
                "to": Count(label="to", help="the later version; the newest if not given", least=1),
            },
            position="name",
            needed=("name",),
        ),
        Spec(
            "targets",
            "a ration's targets, what each rests on, and how they changed",
            "targets",
            {
                "name": Name(label="ration", help="which ration", thing="ration"),
                "on": Day(label="on", help="as they stand on that day", ahead_days=120),
            },
            position="name",
            needed=("name",),
        ),
        Spec(
            "dry-matter",
            "a feed's dry matter over time, how far subsamples lay apart, which change matters",
            "dry_matter",
            {"feed": Name(label="feed", help="which feed", thing="feed")},
            position="feed",
            needed=("feed",),
        ),
        Spec("pens", "pens, heads and rations", "pens"),
        Spec("feeds", "feeds, dry matter, analyses and prices", "feeds"),
        Spec("stock", "the feed store: what is there, used a day, days left, worth", "stock"),
        Spec("people", "who may write or look", "people"),
    )
}


def find_spec(name: str) -> Spec:
    """The report of that name.

    Raises:
        Refused: there is none.
    """
    if name in SPECS:
        return SPECS[name]
    near = get_close_matches(name, SPECS, 1, 0.5)
    hint = f"Did you mean {near[0]}?" if near else f"Known: {', '.join(SPECS)}."
    raise Refused(f"There is no report called {plain(name, longest=40)!r}.", remedy=hint, field="report")


def ground_for_reading(connection: Any, now_s: int, copies: CopiesWatched | None = None) -> Ground:
    """The farm's units, clock and names, read without loading what only writing needs.

    Args:
        connection: the book, open for reading.
        now_s: the instant it is, UTC seconds.
        copies: where this computer keeps copies of the book; None for whoever does not mind.
    """
    from herdbook.book.reading import farm as read_farm
    from herdbook.book.reading.held import TREATMENT_NAMED_S, treatment_names
    from herdbook.book.reading.walk import WALK_NAMED_S, walk_names

    farm = read_farm.farm(connection)
    ground = Ground(farm.units, farm.clock, now_s, read_farm.all_names(connection))
    named = {
        "load": load_names(connection, ground),
        "walk": walk_names(connection, now_s - WALK_NAMED_S),
        "treatment": treatment_names(connection, now_s - TREATMENT_NAMED_S),
    }
    names = {**ground.names, **named}
    return Ground(farm.units, farm.clock, now_s, names, copies)


def make(name: str, connection: Any, ground: Ground, texts: Mapping[str, str | Sequence[str]]) -> Report:
    """Make a report from typed options.

    Args:
        name: the report's name.
        connection: the book, open for reading.
        ground: the farm's units, clock and names, with the instant the report is of.
        texts: option -> typed text; of a repeated option a list of them.

    Raises:
        Refused: no such report or option, or an option that cannot be understood.
    """
    spec = find_spec(name)
    values = {}
    for option, text in texts.items():
        ask = spec.options.get(option)
        if ask is None:
            raise Refused(
                f"The report {name} has no option {plain(option, longest=40)!r}.",
                remedy=f"It has {', '.join(spec.options) or 'none'}.",
                field=option,
            )
        given = [text] if isinstance(text, str) else list(text)
        if isinstance(ask, Several) and any(one.strip() for one in given):
            values[option] = ask.understand_all(given, ground)
        elif given and given[0].strip():
            values[option] = ask.understand(given[0], ground)
    for option in spec.needed:
        if option not in values:
            known = ", ".join(spec.options[option].choices(ground) or ())
            raise Refused(
                f"{name}: which {spec.options[option].label}?",
                remedy=f"In the book: {known or 'none yet'}.",
                field=option,
            )
    report: Report = import_module(f"herdbook.reports.{spec.module}").make(connection, ground, **values)
    return report


def split_words(name: str, words: Sequence[str]) -> tuple[dict[str, str], list[str]]:
    """Give the first bare word to the option that takes one; the rest are the figure's address, for `explain`."""
    spec = find_spec(name)
    if spec.position and words:
        return {spec.position: words[0]}, list(words[1:])
    return {}, list(words)


__all__ = ["SPECS", "Spec", "find_spec", "ground_for_reading", "make", "split_words"]

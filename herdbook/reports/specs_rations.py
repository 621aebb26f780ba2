"""What the reports of rations and feeds may be asked with."""

from __future__ import annotations

from collections.abc import Mapping

from herdbook.chores.asking import Ask, Count, Name, Word, YesNo
from herdbook.chores.measures import PricePerWeight
from herdbook.chores.moments import Day
from herdbook.chores.nutrient_asks import FigureKey, TargetBounds
from herdbook.chores.repeated import Pair, Several
from herdbook.reports.spans import SpanOfDays
from herdbook.reports.spec import ON, ONE_FEED, RATION, Spec
from herdbook.reports.suggestion_asks import AIMS, FEED, UNKNOWN, CountedAs, FeedHeld, feed_amount, feed_stock

SUGGESTION: Mapping[str, Ask] = {
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

A_RATION = Spec(
    "ration",
    "a ration a head: feeds, dry matter, nutrients against targets, cost",
    "ration",
    {
        "name": RATION,
        "on": ON,
    },
    position="name",
    needed=("name",),
)
"""Asked for so often that it stands near the top of the list."""

RATIONS = (
    Spec(
        "evaluation",
        "a pen's ration over a span of days: totals, targets, how sure, second opinions, and where it went astray",
        "evaluation",
        {
            "pen": Name(label="pen", help="which pen", thing="pen"),
            "of": SpanOfDays(
                label="of",
                help="days, such as -7..-1, week or last week; the last seven if not given",
                usual="-7..-1",
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
            "name": RATION,
            "on": ON,
            "feed": ONE_FEED,
        },
        position="name",
        needed=("name",),
    ),
    Spec(
        "ration-sheet",
        "a ration on one page to print: feeds in loading order, a load, targets, cautions, who set it",
        "ration_sheet",
        {
            "name": RATION,
            "on": ON,
            "mixer": Name(label="mixer", help="the mixer a load is for", thing="mixer"),
        },
        position="name",
        needed=("name",),
    ),
    Spec(
        "ration-versions",
        "every version of a ration: from when, by whom, and what it changed",
        "ration_versions",
        {"name": RATION},
        position="name",
        needed=("name",),
    ),
    Spec(
        "feed-analyses",
        "what laboratories found in the feeds over time, and how far it spreads",
        "feed_analyses",
        {"feed": ONE_FEED},
        position="feed",
    ),
    Spec(
        "suggestion",
        "a ration's cheapest or least changed amounts within its targets, beside today's",
        "suggestion",
        {
            "name": RATION,
            "on": Day(label="on", help="at that day's analyses, prices and targets", ahead_days=120),
            "aim": Word(label="aim", help="least-cost, or smallest-change from today's", words=AIMS),
            **SUGGESTION,
        },
        position="name",
        needed=("name",),
    ),
    Spec(
        "ration-difference",
        "two versions of a ration side by side: feeds, dry matter and figures",
        "ration_difference",
        {
            "name": RATION,
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
            "name": RATION,
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
    Spec("feeds", "feeds, dry matter, analyses and prices", "feeds"),
    Spec("stock", "the feed store: what is there, used a day, days left, worth", "stock"),
)

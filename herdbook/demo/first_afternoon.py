"""The first afternoon: the made-up farm's people, pens, feeds, rations, mixers and tank go into the book."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta

from herdbook.demo import tank_made_up
from herdbook.demo.feeds_made_up import FEEDS, LABORATORY
from herdbook.demo.milk_money import PRICE_PER_CWT
from herdbook.demo.rations_made_up import MIXERS, NO_ADVICE, RATIONS, WHY
from herdbook.demo.scribe import Typed
from herdbook.demo.world import FEEDER, MILKER, NUTRITIONIST, OWNER, World

FARM = "Brindlewick Farm"
ZONE = "America/Chicago"
PERSON = "Invented person of a made-up farm."
SAMPLED_BEFORE_DAYS = 12

Line = tuple[str, str, Mapping[str, Typed], str]
"""Chore, who, what is typed, note."""


def start(world: World, at_s: int, login: str) -> None:
    """Start the book."""
    typed = {"name": FARM, "zone": ZONE, "system": "us", "invented": "yes", "login": login}
    world.scribe.start(OWNER, at_s, typed, noted=f"Invented farm. {PERSON}")


MILKED = {"fat": "3.5 %", "protein": "3.1 %", "condition": "3"}
COWS: Mapping[str, Mapping[str, str]] = {
    "High 1": {"weight": "1300 lb", "days_in_milk": "62", "older": "40 %", "milk": "88 lb", **MILKED},
    "High 2": {"weight": "1290 lb", "days_in_milk": "70", "older": "35 %", "milk": "84.5 lb", **MILKED},
    "Low": {"weight": "1310 lb", "days_in_milk": "240", "older": "38 %", "milk": "61.5 lb", **MILKED},
    "Dry": {"weight": "1450 lb", "days_pregnant": "240", "older": "60 %", "condition": "3.25"},
    "Close-up": {"weight": "1460 lb", "days_pregnant": "266", "older": "45 %", "condition": "3.25"},
}
"""What the nutritionist has written of each pen's cows: invented, a young herd of small cows."""


def first_afternoon(world: World, day: date, at_s: int) -> Iterator[int]:
    """Write everything the first milking and the first load need, a minute apart."""
    for chore, who, typed, note in _lines(world, day):
        at_s += 60
        yield at_s
        world.scribe.write(chore, who, at_s, typed, noted=note)


def _lines(world: World, day: date) -> Iterator[Line]:
    for name, role in ((NUTRITIONIST, "nutritionist"), (FEEDER, "hand"), (MILKER, "hand")):
        yield "person", OWNER, {"name": name, "roles": [role]}, PERSON
    for place, pen in enumerate(world.herd.pens, start=1):
        yield (
            "pen",
            OWNER,
            {"name": pen.name, "kind": pen.kind, "walk": str(place), "head": str(pen.head)},
            "",
        )
    yield from _feeds(day)
    for name, holds, step in MIXERS:
        yield "mixer", OWNER, {"name": name, "holds": holds, "step": step}, "Invented mixer."
    yield from _rations()
    for name, cows in COWS.items():
        yield "pen-cows", NUTRITIONIST, {"pen": name, **cows}, "Invented cows."
    chart = [f"{float(stick)} in={milk} lb" for stick, milk in tank_made_up.stick_chart()]
    tank = {"name": tank_made_up.NAME, "holds": f"{tank_made_up.CAPACITY_LB} lb", "mark": chart}
    yield "tank", OWNER, tank, "Invented tank and chart."
    yield "milk-price", OWNER, {"price": f"{PRICE_PER_CWT:.2f}/cwt"}, "Invented price."


def _feeds(day: date) -> Iterator[Line]:
    sampled = (day - timedelta(days=SAMPLED_BEFORE_DAYS)).isoformat()
    for number, feed in enumerate(FEEDS, start=1):
        card = {"name": feed.name, "kind": feed.kind, "most": feed.most, "caution": feed.caution}
        yield "feed", NUTRITIONIST, {**card, "price": feed.price}, "Invented feed and price."
        yield (
            "analysis",
            NUTRITIONIST,
            {
                "feed": feed.name,
                "dry": f"{feed.dry_percent}",
                "sampled": sampled,
                "value": feed.values,
                "laboratory": LABORATORY,
                "number": f"made-up {number}",
            },
            "Invented figures.",
        )


def _rations() -> Iterator[Line]:
    for ration in RATIONS:
        yield (
            "ration",
            NUTRITIONIST,
            {"name": ration.name, "item": list(ration.items)},
            NO_ADVICE,
        )
        yield "targets", NUTRITIONIST, {"ration": ration.name, "target": list(ration.targets), "why": WHY}, ""
        for pen in ration.pens:
            fed = {"pen": pen, "ration": ration.name, "call": ration.call, "feedings": str(ration.feedings)}
            yield "pen-ration", NUTRITIONIST, fed, ""

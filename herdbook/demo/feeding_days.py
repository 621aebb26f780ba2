"""At the bunk and the mixer of the made-up farm: weigh-backs, loads, drops, dry-matter tests and moved cows."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from herdbook.book.opening import reading
from herdbook.chores.doing import Written
from herdbook.chores.planning import Plan, plan_load
from herdbook.demo.barn_rounds import bunk_score
from herdbook.demo.feeds_made_up import TESTED
from herdbook.demo.happenings import (
    AFTER_RAIN_TEST,
    MISWEIGHED,
    MISWEIGHED_FEED,
    MISWEIGHED_TIMES,
    NEW_VERSION,
    STRUCK,
    place,
)
from herdbook.demo.rations_made_up import BIG, MIXERS, NO_ADVICE, RATIONS, MadeUpRation, high_items
from herdbook.demo.world import FEEDER, NUTRITIONIST, OWNER, Offered, World

Work = Generator[int, None, int]
"""Part of a round: it waits like the round, and tells the instant it was done."""

MORNING, AFTERNOON = (5, 10), (14, 35)
STEP_LB = {name: int(step.removesuffix(" lb")) for name, _, step in MIXERS}
G_PER_LB = 453.59237

OFF_SHARE = 0.016
"""How far a loaded feed lies from its plan: some 79 % of loadings within 2 % of it. 33 herds with 386,011 loadings had
47 %, the best of them 81 % (Barry, abstract W324 of a dairy science meeting); this feeder is as good."""

OFF_STEPS = 0.25  # of the scale's step, for feeds too small for that share to count (invented)
TEST_POINTS = 0.2  # a microwave test on a careful farm; testers differ by 1 to 2 points (Weiss, Hay & Forage)


def feeder(world: World, day: date) -> Iterator[int]:
    """The feeder's day, from the weigh-backs before light to the afternoon's last drop."""
    chance = world.dice(day, "feeder")
    at_s = world.at(day, 4, 38, after_min=chance.randint(0, 6))
    yield at_s
    at_s = yield from _weigh_back(world, day, at_s, chance)
    at_s = max(at_s + 240, world.at(day, *MORNING, after_min=chance.randint(0, 8)))
    for ration in RATIONS:
        yield (at_s := at_s + 60 * chance.randint(5, 9))
        at_s = yield from _Load(world, day, ration, 1).mix(at_s)
    at_s = yield from _tests(world, day, at_s + 1200)
    at_s = max(at_s + 600, world.at(day, *AFTERNOON, after_min=chance.randint(0, 20)))
    for ration in RATIONS:
        if ration.feedings > 1:
            yield (at_s := at_s + 60 * chance.randint(5, 9))
            at_s = yield from _Load(world, day, ration, 2).mix(at_s)


def _weigh_back(world: World, day: date, at_s: int, chance: Random) -> Work:
    """Weigh what every pen left of yesterday's feed; returns when that was done."""
    yesterday = day - timedelta(days=1)
    for pen in world.herd.pens:
        got = world.offered.get(yesterday, {}).get(pen.name)
        if not got:
            continue
        as_fed_lb, dry_lb = sum(one.as_fed_lb for one in got), sum(one.dry_lb for one in got)
        left_dry_lb = dry_lb - world.herd.eat(pen, yesterday, dry_lb)
        left_lb = left_dry_lb * as_fed_lb / dry_lb * (1 + chance.gauss(0, 0.03))
        yield (at_s := at_s + 60 * chance.randint(3, 6))
        if pen.milks:
            score = bunk_score(left_lb / as_fed_lb)
            world.scribe.write("bunk-score", FEEDER, at_s - 60, {"pen": pen.name, "score": score})
        world.scribe.write(
            "refusal", FEEDER, at_s, {"pen": pen.name, "weight": f"{2 * round(left_lb / 2)} lb"}
        )
    return at_s


def _tests(world: World, day: date, at_s: int) -> Work:
    """Test the silages where it is their day, twice a week, and once more after rain; returns when that was done."""
    days_ago = world.days_ago(day)
    rained = place(days_ago) == AFTER_RAIN_TEST
    if days_ago % 7 not in (1, 4) and not rained:
        return at_s
    chance = world.dice(day, "tests")
    for name in TESTED:
        yield (at_s := at_s + 12 * 60)
        found = 100 * world.bunkers.dry_share(name, day) + chance.gauss(0, TEST_POINTS)
        world.scribe.write(
            "dry-matter",
            FEEDER,
            at_s,
            {"feed": name, "dry": f"{found:.1f}", "method": "microwave"},
            noted="Tested out of turn: rain has been on the open face." if rained else "",
        )
    return at_s


@dataclass(slots=True)
class _Load:
    """One load of a ration, from the plan to its last drop."""

    world: World
    day: date
    ration: MadeUpRation
    feeding: int

    def mix(self, at_s: int) -> Work:
        """Mix and drop it; returns the instant of the last drop."""
        chance = self.world.dice(self.day, f"load {self.ration.name} {self.feeding}")
        plan = self._plan(at_s)
        names = {number: name for name, number in self.world.scribe.ground(at_s).names["feed"].items()}
        feeds = [(names[line.feed], line.planned_g / G_PER_LB) for line in plan.lines]
        weighed = [(name, self._goes_in_lb(chance, name, planned_lb)) for name, planned_lb in feeds]
        if self.ration.mixer == BIG:
            at_s = yield from self._feed_by_feed(chance, weighed, at_s)
        else:
            at_s = yield from self._at_once(weighed, at_s)
        yield (at_s := at_s + 60 * chance.randint(7, 10))
        return (yield from self._drop(chance, weighed, at_s))

    def _plan(self, at_s: int) -> Plan:
        """The plan as the mixer's screen shows it."""
        ground = self.world.scribe.ground(at_s)
        pens = [ground.names["pen"][name] for name in self.ration.pens]
        with reading(self.world.scribe.book.path) as connection:
            return plan_load(
                connection,
                ground,
                pens,
                feeding=self.feeding,
                step_mg=round(self._step_lb * G_PER_LB * 1000),
            )

    @property
    def _step_lb(self) -> int:
        return STEP_LB[self.ration.mixer]

    def _goes_in_lb(self, chance: Random, name: str, planned_lb: float) -> int:
        """What the scale says of one feed: near the plan, to the scale's step."""
        off_lb = chance.gauss(0.002 * planned_lb, max(OFF_SHARE * planned_lb, OFF_STEPS * self._step_lb))
        times = MISWEIGHED_TIMES if self._misweighed and name == MISWEIGHED_FEED else 1.0
        return self._step_lb * max(1, round((planned_lb * times + off_lb) / self._step_lb))

    @property
    def _misweighed(self) -> bool:
        """Whether this is the morning load of the high cows on the day of the mistake."""
        mistake = place(self.world.days_ago(self.day)) == MISWEIGHED
        return mistake and self.feeding == 1 and self.ration.mixer == BIG

    def _begin(self, at_s: int, written_s: int, loaded: Sequence[str] = ()) -> str:
        scribe = self.world.scribe
        scribe.write(
            "load",
            FEEDER,
            written_s,
            {
                "pen": self.ration.pens,
                "mixer": self.ration.mixer,
                "feeding": str(self.feeding),
                "started": scribe.moment(at_s),
                "loaded": loaded,
            },
        )
        return scribe.newest_load()

    def _feed_by_feed(self, chance: Random, weighed: Sequence[tuple[str, int]], at_s: int) -> Work:
        """The high cows' load is written at the mixer, scale reading by scale reading."""
        self._begin(at_s, at_s)
        scale_lb = 0
        load = self.world.scribe.newest_load()
        for name, added_lb in weighed:
            scale_lb += added_lb
            yield (at_s := at_s + chance.randint(100, 260))
            self.world.scribe.write(
                "weigh", FEEDER, at_s, {"load": load, "feed": name, "scale": f"{scale_lb} lb"}
            )
        return at_s

    def _at_once(self, weighed: Sequence[tuple[str, int]], at_s: int) -> Work:
        """Smaller loads are noted on a card and written when the last feed is in."""
        started_s, at_s = at_s, at_s + 170 * len(weighed)
        yield at_s
        self._begin(started_s, at_s, [f"{name}={lb} lb" for name, lb in weighed])
        return at_s

    def _drop(self, chance: Random, weighed: Sequence[tuple[str, int]], at_s: int) -> Work:
        """Drop it to its pens by their head; a little stays in the mixer. Tells the instant of the last drop."""
        world = self.world
        loaded_lb = sum(lb for _, lb in weighed)
        dry_share = sum(lb * world.bunkers.dry_share(name, self.day) for name, lb in weighed) / loaded_lb
        left_lb = loaded_lb - self._step_lb * chance.randint(1, 3)
        for pen, share in self._shares():
            meant_lb = left_lb * share * (1 + (chance.gauss(0, 0.01) if share < 1 else 0))
            dropped_lb = min(left_lb, self._step_lb * round(meant_lb / self._step_lb))
            left_lb -= dropped_lb
            world.offer(self.day, pen, Offered(dropped_lb, dropped_lb * dry_share))
            self._write_drop(pen, dropped_lb, at_s)
            if self._written_twice:
                at_s = yield from self._twice(pen, dropped_lb, at_s)
            if pen != self.ration.pens[-1]:
                yield (at_s := at_s + 60 * chance.randint(4, 7))
        return at_s

    def _shares(self) -> Iterator[tuple[str, float]]:
        """Each pen and its part of what is still in the mixer when its turn comes."""
        heads = [self.world.herd.pen(name).head for name in self.ration.pens]
        for place_of, name in enumerate(self.ration.pens):
            yield name, heads[place_of] / sum(heads[place_of:])

    def _write_drop(self, pen: str, dropped_lb: int, at_s: int) -> Written:
        scribe = self.world.scribe
        typed = {"load": scribe.newest_load(), "pen": pen, "weight": f"{dropped_lb} lb"}
        return scribe.write("drop", FEEDER, at_s, typed)

    @property
    def _written_twice(self) -> bool:
        mistake = place(self.world.days_ago(self.day)) == STRUCK
        return mistake and self.feeding == 1 and self.ration.pens == ("Low",)

    def _twice(self, pen: str, dropped_lb: int, at_s: int) -> Work:
        """The same drop is written again by mistake, seen, and struck."""
        yield (at_s := at_s + 40)
        second = self._write_drop(pen, dropped_lb, at_s).entry
        yield (at_s := at_s + 200)
        typed = {"entry": str(second), "because": "Written twice; the pen got it once."}
        self.world.scribe.write("strike", FEEDER, at_s, typed)
        return at_s


def office(world: World, day: date) -> Iterator[int]:
    """What is written at the desk: moved cows, and the nutritionist's new version."""
    days_ago = world.days_ago(day)
    if days_ago % 7 in (3, 6):
        yield (at_s := world.at(day, 11, 20))
        for pen in world.herd.move():
            yield (at_s := at_s + 60)
            world.scribe.write("head", OWNER, at_s, {"pen": pen.name, "head": str(pen.head)})
    if place(days_ago) == NEW_VERSION:
        yield (at_s := world.at(day, 20, 15))
        world.versions += 1
        world.scribe.write(
            "ration",
            NUTRITIONIST,
            at_s,
            {
                "name": RATIONS[0].name,
                "item": high_items(world.versions),
                "since": (day + timedelta(days=1)).isoformat(),
            },
            noted=NO_ADVICE,
        )

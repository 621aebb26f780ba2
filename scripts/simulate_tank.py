"""Simulated bulk tanks, to measure how soon a milking that will be late is called late, and how often one is in vain.

Nothing here knows how the forecast works. Milk stands in two layers that a stirrer mixes, a compressor and its
evaporator find their balance at every moment, weather moves the condenser, milking comes in fits, the thermometer
lags, is noisy and is read in steps, readings are missed, taken in the foam or from a stuck dial. Coolers fail in six
ways. When the milk is really cold is known only to the simulation; the forecast gets what the book would hold.

    python scripts/simulate_tank.py --milkings 2000
    python scripts/simulate_tank.py --milkings 2000 --unmetered
    python scripts/simulate_tank.py --milkings 3000 --seed 501 --only hand --curve

The limits of the alarm were chosen on the curve of seed 501; figures that are told to anybody are of other seeds.

Sizes and spreads are common practice or guesses, without a source, unless one stands beside them.
"""

from __future__ import annotations

import argparse
import math
import random
import statistics
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from herdbook.science.cooling_curve import Reading, reach_estimate, too_slow
from herdbook.science.tank_forecast import TankForecast, Wanted, forecast
from herdbook.science.tank_forecast_limits import LimitForecast
from herdbook.science.tank_prior import PastMilking, TankMilking, tank_prior

LIMIT_degC = (45 - 32) / 1.8  # 45 °F within two hours of the end of milking, model ordinance item 18r
DUE_S = 7200
CLOSE_S = 600
STEP_S = 20
WATCHED_S = 6 * 3600
MILKINGS_A_FARM = 50
CP = 3.9  # kJ/kg.K, whole milk
FAULTS = ("dirty condenser", "low charge", "fan off", "pre-cooler off", "agitator stuck", "thermometer drift")


@dataclass
class Farm:
    """One farm: its milk, its tank, its cooler, its thermometer and its weather."""

    dice: random.Random
    day: float = 0.0
    weather: float = 0.0
    fault: str = ""
    fault_left: int = 0
    severity: float = 0.0
    offset_degC: float = 0.0

    def __post_init__(self) -> None:
        d = self.dice
        self.day = d.uniform(0, 365)
        self.milk_kg = math.exp(d.uniform(math.log(600), math.log(8000)))  # of one milking
        self.hours = d.uniform(1.0, 2.6)
        self.pickup_after = d.choice((1, 2, 2, 4))
        self.precooled = d.random() < 0.5
        self.approach = d.uniform(4, 11)
        self.raw_degC = d.uniform(33, 36)
        self.spread = d.uniform(0.02, 0.06)
        left = d.uniform(0.7, 2.0)  # hours from the end of milking to 4 °C at 27 °C outside
        middle_in = self.raw_degC if not self.precooled else 14 + self.approach
        self.power_kW = self.milk_kg * CP * (middle_in - 4) / 3600 / (self.hours + left)
        self.ua = self.power_kW / d.uniform(9, 14)
        self.follows = d.uniform(0.022, 0.036)  # more capacity for each degree of the evaporator
        self.ambient_loses = d.uniform(0.008, 0.016)  # less for each degree outside
        self.lag_s = d.uniform(40, 200)
        self.noise = d.uniform(0.02, 0.06)
        self.mixes_s = d.uniform(60, 150)
        self.cut_out, self.cut_in = 2.6 + d.uniform(0, 0.8), 3.6 + d.uniform(0, 0.8)

    def outside(self, hour: float) -> float:
        """Air at the condenser."""
        season = 12 - 12 * math.cos(2 * math.pi * (self.day - 20) / 365)
        return season + 6 * math.sin(2 * math.pi * (hour - 9) / 24) + self.weather + 4

    def water(self) -> float:
        """Well or mains water."""
        return 13 - 4 * math.cos(2 * math.pi * (self.day - 50) / 365)

    def next_milking(self) -> None:
        """Half a day goes by; a fault comes, goes on, or is mended."""
        d = self.dice
        self.day += 0.5
        self.weather = 0.85 * self.weather + d.gauss(0, 1.8)
        if self.fault_left:
            self.fault_left -= 1
            self.severity = min(1.0, self.severity * d.uniform(1.0, 1.2))
            if not self.fault_left:
                self.fault, self.offset_degC = "", 0.0
        elif d.random() < 0.06:
            self.fault = d.choice(
                FAULTS if self.precooled else tuple(f for f in FAULTS if f != "pre-cooler off")
            )
            self.fault_left, self.severity = d.randint(1, 4), d.uniform(0.3, 1.0)
            self.offset_degC = (
                d.choice((-1, 1)) * d.uniform(0.6, 2.5) if self.fault == "thermometer drift" else 0.0
            )


@dataclass
class Run:
    """One milking as it went, and what was read of it."""

    started_s: int
    ended_s: int
    fault: str
    reached_s: int | None
    milk_kg: float
    before: int
    held_kg: float
    held_mC: int | None
    nuisance: str
    hand: list[Reading] = field(default_factory=list)
    logger: list[Reading] = field(default_factory=list)

    @property
    def due_s(self) -> int:
        return self.ended_s + DUE_S

    @property
    def late(self) -> bool:
        return self.reached_s is None or self.reached_s > self.due_s


@dataclass
class Layers:
    """Milk below at the evaporator and the thermometer, milk above where it comes in."""

    low: float
    top: float
    kg: float
    on: bool = False
    sensor: float = 20.0

    @property
    def whole(self) -> float:
        return (self.low + self.top) / 2


def milked(farm: Farm, start_s: int, before: int, held_kg: float, held: Layers | None) -> tuple[Run, Layers]:
    """One milking and the six hours from its start."""
    d = farm.dice
    hour = (start_s / 3600) % 24
    share = 1.06 if hour < 12 else 0.94
    milk_kg = farm.milk_kg * share * math.exp(d.gauss(0, farm.spread))
    length_s = int(farm.hours * 3600 * share * math.exp(d.gauss(0, 0.05)))
    flow = fits(d, milk_kg, length_s)
    onset_s = 0 if d.random() < 0.6 else d.randint(0, length_s + 1800)
    tank = held if held is not None and held_kg > 0 else Layers(30.0, 30.0, 0.0)
    tank.kg = held_kg
    held_milli = None if not before else round(1000 * in_steps(tank.sensor + farm.offset_degC))
    outside, water = farm.outside(hour + 1.5), farm.water()
    true: list[tuple[int, float, float]] = []
    for second in range(0, WATCHED_S, STEP_S):
        fault = farm.fault if second >= onset_s else ""
        inflow = farm.raw_degC
        if farm.precooled and fault != "pre-cooler off":
            inflow = min(water + farm.approach + d.gauss(0, 0.5), farm.raw_degC)
        came = flow[min(second // STEP_S, len(flow) - 1)] if second < length_s else 0.0
        go_on(farm, tank, came, inflow, outside, fault, second)
        true.append((start_s + second, tank.whole, tank.sensor))
    ended_s = start_s + length_s
    reached = next((at for at, whole, _ in true if at >= ended_s and whole <= LIMIT_degC), None)
    run = Run(start_s, ended_s, farm.fault, reached, milk_kg, before, held_kg, held_milli, nuisance(d))
    run.hand, run.logger = read(farm, run, true)
    return run, tank


def fits(d: random.Random, milk_kg: float, length_s: int) -> list[float]:
    """Milk of each step: groups of cows with gaps between them."""
    steps = max(length_s // STEP_S, 1)
    groups = d.randint(3, 8)
    paces = [d.uniform(0.7, 1.3) for _ in range(groups)]
    raw = [
        paces[min(n * groups // steps, groups - 1)] * (0.15 if (n * groups / steps) % 1 > 0.92 else 1.0)
        for n in range(steps)
    ]
    return [milk_kg * one / sum(raw) for one in raw]


def go_on(
    farm: Farm, tank: Layers, came: float, inflow: float, outside: float, fault: str, second: int
) -> None:
    """One step of the two layers, the compressor and the thermometer."""
    if came:
        half = tank.kg / 2 + came
        tank.top = (tank.top * tank.kg / 2 + inflow * came) / half
        tank.kg += came
        # the layers stay equal halves: what is more above goes down
        tank.low = (tank.low * (tank.kg / 2 - came / 2) + tank.top * came / 2) / (tank.kg / 2)
    if not tank.kg:
        tank.sensor += (outside - tank.sensor) * STEP_S / 600
        return
    covered = tank.kg > 0.12 * farm.milk_kg
    measured = tank.sensor + farm.offset_degC
    if not covered or measured <= farm.cut_out:
        tank.on = False
    elif measured >= farm.cut_in:
        tank.on = True
    stirs = covered and (tank.on or came > 0 or second % 900 < 120) and fault != "agitator stuck"
    heat = cooling_kW(farm, tank.low, outside, fault, stirs) if tank.on else 0.0
    gain = 0.00025 * farm.power_kW * (outside - tank.whole) + (0.008 * farm.power_kW if stirs else 0.0)
    metal = 0.04 * farm.milk_kg  # steel that warms and cools with the milk, as kg of milk
    per_half = CP * (tank.kg + metal) / 2
    tank.low -= heat * STEP_S / per_half
    tank.low += gain * STEP_S / per_half
    mixed = 1 - math.exp(-STEP_S / (farm.mixes_s if stirs else 4000))
    middle = tank.whole
    tank.low += (middle - tank.low) * mixed
    tank.top += (middle - tank.top) * mixed
    seen = tank.low if covered else outside
    tank.sensor += (seen - tank.sensor) * (1 - math.exp(-STEP_S / farm.lag_s))


def cooling_kW(farm: Farm, milk: float, outside: float, fault: str, stirs: bool) -> float:  # noqa: N802
    """Where the evaporator's take and the compressor's give are even."""
    s = farm.severity
    air = outside + (s * 45 if fault == "dirty condenser" else 0.0)
    give = farm.power_kW * max(0.1, 1 - farm.ambient_loses * (air - 27))
    ua = farm.ua * (1.0 if stirs else 0.2)
    if fault == "fan off":
        give *= 0.55 - 0.4 * s
    if fault == "low charge":
        give *= 1 - 0.6 * s
        ua *= 1 - 0.5 * s
    # give * (1 + follows * (te + 5)) = ua * (milk - te)
    te = (ua * milk - give * (1 + 5 * farm.follows)) / (ua + give * farm.follows)
    te = min(te, 10.0)  # a valve holds the evaporator under its highest working pressure
    return max(0.0, min(give * (1 + farm.follows * (te + 5)), ua * (milk - te)))


def nuisance(d: random.Random) -> str:
    """What goes wrong with the readings alone."""
    return d.choices(("", "missing hour", "foam", "stuck"), (0.88, 0.05, 0.06, 0.01))[0]


def in_steps(celsius: float) -> float:
    """To a tenth of a °F, as typed."""
    return (round((celsius * 1.8 + 32) * 10) / 10 - 32) / 1.8


def read(
    farm: Farm, run: Run, true: Sequence[tuple[int, float, float]]
) -> tuple[list[Reading], list[Reading]]:
    """By hand every quarter of an hour or so, and by a logger every minute."""
    d = farm.dice
    gap_s = run.started_s + d.randint(1800, 12_000)
    stuck_s = run.started_s + d.randint(1800, 9000)
    foam = {d.randint(2, 9)} if run.nuisance == "foam" else set()
    stuck_at: float | None = None

    def shown(second: int, number: int) -> Reading | None:
        nonlocal stuck_at
        at_s, _, sensor = true[min(second // STEP_S, len(true) - 1)]
        if run.nuisance == "missing hour" and gap_s <= at_s < gap_s + 3600:
            return None
        value = sensor + farm.offset_degC + d.gauss(0, farm.noise)
        if number in foam:
            value += d.choice((-1, 1, 1)) * d.uniform(1.5, 8)
        if run.nuisance == "stuck" and at_s >= stuck_s:
            stuck_at = value if stuck_at is None else stuck_at
            value = stuck_at
        return Reading(run.started_s + second, round(1000 * in_steps(value)), number)

    hand, second = [], d.randint(900, 1800)
    while second < WATCHED_S - 60:
        hand.append(shown(second, len(hand)))
        second += 900 + d.randint(-150, 150)
    stuck_at = None
    foam = {n + k for n in (d.randint(20, 150),) for k in range(4)} if foam else set()
    logged = [shown(second, second // 60) for second in range(60, WATCHED_S, 60)]
    return [r for r in hand if r is not None], [r for r in logged if r is not None]


def farms(milkings: int, seed: int) -> Iterator[list[Run]]:
    """Runs of one farm after another."""
    dice = random.Random(seed)
    for _ in range(-(-milkings // MILKINGS_A_FARM)):
        farm, runs = Farm(random.Random(dice.random())), []
        held: Layers | None = None
        held_kg, before = 0.0, 0
        start_s = 1_700_000_000 // 86_400 * 86_400 + 5 * 3600
        for _ in range(MILKINGS_A_FARM):
            farm.next_milking()
            run, held = milked(farm, start_s, before, held_kg, held)
            runs.append(run)
            held_kg, before, start_s = held_kg + run.milk_kg, before + 1, start_s + 43_200
            # the rest of the half day is cooled, or the farm is called out and mends it
            held.low = held.top = held.sensor = min(held.whole, 3.5)
            if before >= farm.pickup_after:
                held_kg, before, held = 0.0, 0, None
        yield runs


@dataclass
class Seen:
    """What one way of looking said of one milking."""

    run: Run
    alarm_s: int | None = None
    stands_still: bool = False
    doubted: bool = False
    caused: bool = False
    ranges: list[tuple[str, bool]] = field(default_factory=list)
    said: list[tuple[int, LimitForecast]] = field(default_factory=list)


Look = Callable[[Run, Sequence[Reading], int, Sequence[PastMilking], Seen], bool]


def milking_of(run: Run, now_s: int | None, *, metered: bool) -> TankMilking:
    """What the book knows of a milking at a time."""
    over = now_s is None or now_s >= run.ended_s
    return TankMilking(
        run.started_s,
        run.ended_s if over else None,
        run.before,
        round(run.held_kg * 1000) if metered else None,
        round(run.milk_kg * 1000) if over and metered else None,
        run.held_mC,
    )


def by_forecast(*, metered: bool, times: list[float]) -> Look:
    """The forecast under test, and the alarm it gives."""

    def look(
        run: Run, readings: Sequence[Reading], now_s: int, past: Sequence[PastMilking], seen: Seen
    ) -> bool:
        prior = tank_prior(past, starts_s=run.started_s)
        due_s = run.due_s if now_s >= run.ended_s else None
        before = time.perf_counter()
        found = forecast(
            milking_of(run, now_s, metered=metered),
            readings,
            [Wanted(round(LIMIT_degC * 1000), due_s, DUE_S)],
            now_s,
            prior=prior,
        )
        times.append(time.perf_counter() - before)
        note(run, found, now_s, seen)
        return found.limits[0].is_late(due_s)

    return look


def note(run: Run, found: TankForecast, now_s: int, seen: Seen) -> None:
    """Whether the range held what then came, where a range was said before it came."""
    limit = found.limits[0]
    seen.said.append((now_s, limit))
    seen.doubted = seen.doubted or "agitator" in found.doubt
    seen.caused = seen.caused or bool(found.cause)
    seen.stands_still = seen.stands_still or "stood still" in found.doubt
    if (
        limit.low_s is None
        or limit.how == "reached"
        or (run.reached_s is not None and now_s >= run.reached_s)
    ):
        return
    when = "filling" if now_s < run.ended_s else "first half hour" if now_s < run.ended_s + 1800 else "later"
    high_s = limit.high_s if limit.high_s is not None else math.inf
    reached_s = run.reached_s if run.reached_s is not None else math.inf
    if reached_s == math.inf and high_s < run.started_s + WATCHED_S:
        seen.ranges.append((when, False))
    elif reached_s < math.inf:
        seen.ranges.append((when, limit.low_s <= reached_s <= high_s))


def by_curve(
    run: Run, readings: Sequence[Reading], now_s: int, past: Sequence[PastMilking], seen: Seen
) -> bool:
    """The curve through the readings since the end of milking, and nothing else."""
    if now_s < run.ended_s:
        return False
    cooled = [item for item in readings if item.at_s >= run.ended_s]
    return too_slow(reach_estimate(cooled, round(LIMIT_degC * 1000), now_s), run.due_s)


def when_passed(
    run: Run, readings: Sequence[Reading], now_s: int, past: Sequence[PastMilking], seen: Seen
) -> bool:
    """The naive rule: an alarm once the deadline has passed and no reading was cold."""
    cooled = [item for item in readings if item.at_s >= run.ended_s]
    return now_s > run.due_s and not any(item.tank_mC <= LIMIT_degC * 1000 + 1 for item in cooled)


def watched(runs: Sequence[Run], kind: str, look: Look, *, metered: bool) -> list[Seen]:
    """Look at every milking of a farm, at each hand reading or each five minutes of a logger."""
    found: list[Seen] = []
    past: list[PastMilking] = []
    for number, run in enumerate(runs):
        readings = run.hand if kind == "hand" else run.logger
        if number >= 4:  # the first milkings of a farm only teach
            seen = Seen(run)
            for index, item in enumerate(readings):
                if kind == "logger" and index % 5:
                    continue
                known = readings[: index + 1]
                if item.at_s >= run.ended_s and any(
                    one.at_s >= run.ended_s and one.tank_mC <= LIMIT_degC * 1000 + 1 for one in known
                ):
                    break
                if item.at_s > run.due_s + 1800:
                    break
                if look(run, known, item.at_s, past, seen) and seen.alarm_s is None:
                    seen.alarm_s = item.at_s
            found.append(seen)
        past = [*past[-11:], PastMilking(milking_of(run, None, metered=metered), tuple(readings))]
    return found


def woken(seen: Sequence[Seen], wakes: Callable[[LimitForecast, int | None], bool]) -> list[Seen]:
    """The same milkings, called by another rule from what was said of them."""
    return [
        replace(
            one,
            alarm_s=next(
                (
                    at
                    for at, limit in one.said
                    if wakes(limit, one.run.due_s if at >= one.run.ended_s else None)
                ),
                None,
            ),
        )
        for one in seen
    ]


def curve(seen: Sequence[Seen]) -> None:
    """Print what each chance that wakes people costs and brings: false alarms, misses called, lead."""
    print("\n  woken above   false in 1,000   misses called   lead, median   10 % under")
    for above in (0.5, 0.7, 0.8, 0.9, 0.95, 0.97, 0.98, 0.99):
        line(f"{above:.2f}", woken(seen, lambda limit, due_s, above=above: (limit.chance_late or 0) > above))
    line("as built", woken(seen, LimitForecast.is_alarm))


def line(name: str, seen: Sequence[Seen]) -> None:
    """One line of the curve."""
    missed = [one for one in seen if one.run.late and one.run.fault and one.run.fault != "thermometer drift"]
    good = [one for one in seen if not (one.run.fault or one.run.late or one.run.nuisance == "stuck")]
    false = sum(one.alarm_s is not None for one in good)
    before = sum(one.alarm_s is not None and one.alarm_s <= one.run.due_s for one in missed)
    leads = sorted((one.run.due_s - one.alarm_s) / 60 for one in missed if one.alarm_s is not None)
    if good and missed and leads:
        print(
            f"  {name:>11s}   {1000 * false / len(good):14.1f}   {100 * before / len(missed):11.1f} %"
            f"   {statistics.median(leads):8.0f} min   {leads[len(leads) // 10]:6.0f} min"
        )


def percent(part: int, whole: int) -> str:
    return (
        f"{part:4d} of {whole:4d} {100 * part / whole:5.1f} %" if whole else f"{part:4d} of {whole:4d}      -"
    )


def told(title: str, seen: Sequence[Seen]) -> None:
    """Print one way's score."""
    print(f"\n{title}")
    missed = [one for one in seen if one.run.late and one.run.fault and one.run.fault != "thermometer drift"]
    before = [one for one in missed if one.alarm_s is not None and one.alarm_s <= one.run.due_s]
    print(f"  faults that led to a miss, called before it      {percent(len(before), len(missed))}")
    leads = [(one.run.due_s - one.alarm_s) / 60 for one in missed if one.alarm_s is not None]
    if leads:
        cuts = statistics.quantiles(leads, n=10) if len(leads) > 1 else leads * 9
        print(
            f"  lead before the missed deadline, median          {statistics.median(leads):6.0f} min"
            f"   (10 % under {cuts[0]:.0f}, 10 % over {cuts[8]:.0f}; aim 45 or more)"
        )
    for fault in FAULTS:
        mine = [one for one in seen if one.run.fault == fault]
        late = [one for one in mine if one.run.late]
        called = [one for one in late if one.alarm_s is not None and one.alarm_s <= one.run.due_s]
        lead = [(one.run.due_s - one.alarm_s) / 60 for one in late if one.alarm_s is not None]
        middle = f"{statistics.median(lead):4.0f} min" if lead else "   -"
        hints = sum(one.caused or one.doubted for one in mine if not one.run.late)
        early = sum(o.alarm_s is not None for o in mine if not o.run.late)
        print(
            f"    {fault:18s} late and called {percent(len(called), len(late))}  lead {middle}"
            f"   in time {len(mine) - len(late):3d}, of them hinted at {hints}, called {early}"
        )
    fine = [one for one in seen if not one.run.fault and not one.run.late]
    clean = [one for one in fine if one.run.nuisance != "stuck"]
    false = [one for one in clean if one.alarm_s is not None]
    print(
        f"  good milkings called late in vain                {percent(len(false), len(clean))}"
        f"   ({1000 * len(false) / max(len(clean), 1):.1f} in 1,000; aim under 1)"
    )
    close = [one for one in false if one.run.reached_s and one.run.due_s - one.run.reached_s <= CLOSE_S]
    print(f"    of them cold with ten minutes or less to spare {len(close):4d}")
    stuck = [one for one in fine if one.run.nuisance == "stuck"]
    called = sum(o.alarm_s is not None for o in stuck)
    print(
        f"    and with a stuck thermometer                   {percent(called, len(stuck))}"
        f"   ({sum(o.stands_still for o in stuck)} told that it stands still)"
    )
    sound = [one for one in seen if not one.run.fault and one.run.late]
    called = [one for one in sound if one.alarm_s is not None and one.alarm_s <= one.run.due_s]
    print(f"  late without a fault (weather), called           {percent(len(called), len(sound))}")


def covered(seen: Sequence[Seen]) -> None:
    """Print how often the range held what came."""
    true = [one for one in seen if one.run.fault not in ("thermometer drift", "agitator stuck")]
    for name, group in (
        ("no fault", [one for one in true if not one.run.fault]),
        ("fault", [one for one in true if one.run.fault]),
    ):
        for when in ("filling", "first half hour", "later"):
            held = [inside for one in group for at, inside in one.ranges if at == when]
            print(f"  80 % range held it, {name:8s} {when:16s}     {percent(sum(held), len(held))}")
    held = [inside for one in true for _, inside in one.ranges]
    print(
        f"  80 % range held it, all                          {percent(sum(held), len(held))}   (aim 75 to 85)"
    )


def main() -> None:
    """Simulate, look, print."""
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    ask.add_argument("--milkings", type=int, default=2000)
    ask.add_argument("--seed", type=int, default=2)
    ask.add_argument("--unmetered", action="store_true", help="the book knows no weights of milk")
    ask.add_argument(
        "--curve", action="store_true", help="only what each limit of the alarm costs and brings"
    )
    ask.add_argument("--only", choices=("hand", "logger"), help="one kind of reading alone")
    wish = ask.parse_args()
    metered = not wish.unmetered
    made = list(farms(wish.milkings, wish.seed))
    runs = [run for farm in made for run in farm]
    late = sum(run.late for run in runs)
    print(
        f"{len(runs)} milkings on {len(made)} farms, {sum(bool(r.fault) for r in runs)} with a fault, {late} late"
        f" ({sum(r.late and not r.fault for r in runs)} of them without a fault); seed {wish.seed}"
    )
    spare = [(r.due_s - r.reached_s) / 60 for r in runs if r.reached_s and not r.fault]
    print(
        f"to spare in milkings without a fault: {', '.join(f'{c:.0f}' for c in statistics.quantiles(spare, n=10))} min"
    )
    for kind in ("hand", "logger") if not wish.only else (wish.only,):
        words = "by hand every 15 min" if kind == "hand" else "by a logger every minute, looked at every 5"
        times: list[float] = []
        look = by_forecast(metered=metered, times=times)
        seen = [one for farm in made for one in watched(farm, kind, look, metered=metered)]
        if wish.curve:
            curve(seen)
            continue
        told(f"ALARM THAT WAKES PEOPLE, {words}", woken(seen, LimitForecast.is_alarm))
        told(f"WARNING ON THE SCREENS, {words}", seen)
        covered(seen)
        times.sort()
        middle, slow = (1000 * times[len(times) * part // 100] for part in (50, 99))
        print(f"  one forecast: median {middle:.2f} ms, 99 % under {slow:.2f} ms")
        for name, other in (
            ("CURVE OF THE READINGS ALONE", by_curve),
            ("ALARM WHEN THE DEADLINE HAS PASSED", when_passed),
        ):
            told(
                f"{name}, {words}",
                [one for farm in made for one in watched(farm, kind, other, metered=metered)],
            )


if __name__ == "__main__":
    main()

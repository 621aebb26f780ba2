"""Random days at the bunk and in the milk house, worked out again from the book's rows by plain arithmetic."""

from __future__ import annotations

import random
from datetime import date, timedelta
from fractions import Fraction

import pytest

from tests.reports.byre import CLOCK, at, cell, feed, milk, show
from tests.yard import Yard

FIRST = date(2026, 3, 2)
DAYS = [FIRST + timedelta(days=place) for place in range(4)]
PENS = ("High", "Low")


def random_days(yard: Yard, seed: int) -> None:
    chance = random.Random(seed)
    for day in DAYS:
        after = day + timedelta(days=1)
        if chance.random() < 0.5:
            dry = f"{chance.uniform(38, 42):.1f}"
            at(yard, f"{day} 04:30").do("dry-matter", feed="Silage", dry=dry)
        milk(yard, f"{day} 04:40", f"{day} 05:30", milk=f"{chance.uniform(1000, 2000):.0f}")
        for pen in PENS:
            for hour in ("06:00", "15:00")[: chance.choice((1, 2))]:
                silage, grain = chance.uniform(500, 2000), chance.uniform(100, 400)
                feed(yard, f"{day} {hour}", pen, silage=round(silage), grain=round(grain))
        if chance.random() < 0.6:
            time = chance.choice(("09:00", "13:30", "22:15"))
            at(yard, f"{day} {time}").do("head", pen="Low", head=str(chance.randint(40, 60)))
        if chance.random() < 0.5:
            weight = f"{chance.uniform(1000, 3000):.0f}"
            at(yard, f"{day} 23:00").do("pickup", weight=weight, emptied=chance.choice(("yes", "no")))
        for pen in PENS:
            texts = {"dry": f"{chance.uniform(35, 55):.1f}"} if chance.random() < 0.3 else {}
            texts |= {"went": "re-fed", "to": "Young"} if chance.random() < 0.4 else {}
            at(yard, f"{after} 05:40").do("refusal", pen=pen, weight=f"{chance.uniform(0, 200):.0f}", **texts)


def eaten_again(yard: Yard, pen: int, day: date) -> float:
    """Dry matter eaten a head from rows alone: drops by their load's own dry matter, less refusals, over mean heads."""
    fed_g = dry_g = Fraction(0)
    for drop in yard.rows("SELECT * FROM feed_drop WHERE pen = ? AND farm_day = ?", pen, day.isoformat()):
        weights = yard.rows("SELECT * FROM load_weight WHERE load = ?", drop["load"])
        dry = sum(Fraction(row["loaded_g"] * row["dry_ppm"], 10**6) for row in weights)
        fed_g += drop["dropped_g"]
        dry_g += drop["dropped_g"] * dry / sum(row["loaded_g"] for row in weights)
    left_g = Fraction(0)
    for row in yard.rows("SELECT * FROM refusal WHERE pen = ? AND fed_on = ?", pen, day.isoformat()):
        share = dry_g / fed_g if row["dry_ppm"] is None else Fraction(row["dry_ppm"], 10**6)
        left_g += row["refused_g"] * share
    begins, ends = CLOCK.day_starts(day), CLOCK.day_starts(day + timedelta(days=1))
    counts = yard.rows("SELECT * FROM head_count WHERE pen = ? ORDER BY counted_at", pen)
    minutes = [
        [row["head"] for row in counts if row["counted_at"] <= minute][-1]
        for minute in range(begins, ends, 60)
    ]
    return float((dry_g - left_g) / 1000 / Fraction(sum(minutes), len(minutes)))


def milk_again(yard: Yard) -> dict[date, float]:
    """Milk by day from rows alone: what each emptying took since the last, shared by meter; the rest as metered."""
    milkings = yard.rows(
        "SELECT started_at, milk_g FROM milking_start JOIN milking_end USING (milking) ORDER BY started_at"
    )
    by_day: dict[date, float] = {}
    taken, waiting = 0, list(milkings)
    for ticket in yard.rows("SELECT * FROM pickup_ticket ORDER BY picked_at"):
        taken += ticket["milk_g"]
        if not ticket["emptied"]:
            continue
        inside = [row for row in waiting if row["started_at"] < ticket["picked_at"]]
        waiting = [row for row in waiting if row["started_at"] >= ticket["picked_at"]]
        metered = sum(row["milk_g"] for row in inside)
        for row in inside:
            day = CLOCK.farm_day(row["started_at"])
            by_day[day] = by_day.get(day, 0.0) + taken * row["milk_g"] / metered / 1000
        taken = 0
    for row in waiting:
        day = CLOCK.farm_day(row["started_at"])
        by_day[day] = by_day.get(day, 0.0) + row["milk_g"] / 1000
    return by_day


@pytest.mark.parametrize("seed", range(4))
def test_random_days_come_out_as_worked_out_from_the_rows(byre: Yard, seed: int) -> None:
    random_days(byre, seed)
    last = DAYS[-1]
    at(byre, f"{last + timedelta(days=1)} 12:00")
    intake, week = show(byre, "intake", of=last.isoformat(), days=str(len(DAYS))), show(byre, "week")
    pens = {row["name"]: row["pen"] for row in byre.rows("SELECT name, pen FROM pen_card")}
    milked = milk_again(byre)
    for day in DAYS:
        for pen in PENS:
            found = cell(intake, "pens", f"{day} {pen}", "dm_eaten_kg")
            assert found.missing == ()
            assert found.value == pytest.approx(eaten_again(byre, pens[pen], day), rel=1e-9)
        head = cell(week, "days", day.isoformat(), "head").number
        assert cell(week, "days", day.isoformat(), "milk_kg").value == pytest.approx(
            milked[day] / (head or 0)
        )

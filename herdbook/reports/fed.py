"""What each pen got, left and ate on each farm day, in sums that reports share."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading.feeding import LoadRow
from herdbook.chores.ground import Ground
from herdbook.reports.figures import Figure, days_between, entries_of

MILLION = 1_000_000
DAY_S = 86_400


@dataclass(slots=True)
class PenDay:
    """One pen on one farm day: weights in grams as fed and as dry matter, head, and the entries under them."""

    pen: int
    day: date
    head: float | None = None
    head_entries: list[int] = field(default_factory=list)
    dropped_g: float = 0.0
    dropped_dry_g: float = 0.0
    cost_cents: float | None = None
    drop_entries: list[int] = field(default_factory=list)
    load_entries: list[int] = field(default_factory=list)
    refed_g: float = 0.0
    refed_dry_g: float = 0.0
    refused_g: float = 0.0
    refused_dry_g: float = 0.0
    refusal_entries: list[int] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    @property
    def fed_dry_g(self) -> float:
        """Dry matter dropped, with what was re-fed from other pens."""
        return self.dropped_dry_g + self.refed_dry_g

    @property
    def is_complete(self) -> bool:
        """Whether heads, drops and the refusal are all written."""
        return bool(self.head) and bool(self.drop_entries) and bool(self.refusal_entries)

    @property
    def missing(self) -> tuple[str, ...]:
        """What is not written, in words."""
        gaps = list(dict.fromkeys(self.notes))
        if not self.head:
            gaps.append("no head count")
        if not self.drop_entries:
            gaps.append("no drop written")
        if not self.refusal_entries:
            gaps.append("refusal not written")
        return tuple(gaps)

    @property
    def entries(self) -> tuple[int, ...]:
        """Every entry under the pen's day."""
        return tuple(
            dict.fromkeys([*self.drop_entries, *self.load_entries, *self.refusal_entries, *self.head_entries])
        )

    def per_head(self, grams: float, rule: str, **inputs: Any) -> Figure:
        """A weight a head in kg; none without heads."""
        value = None if not self.head or not self.drop_entries else grams / 1000 / self.head
        words = {**inputs, "head": f"{self.head:g}" if self.head else "not counted"}
        return Figure(
            value, "kg", rule, words, self.missing if value is None else (), entries_of(*self.entries)
        )

    @property
    def eaten(self) -> Figure:
        """Dry matter eaten a head; none until the refusal is written."""
        value = (
            (self.fed_dry_g - self.refused_dry_g) / 1000 / self.head
            if self.is_complete and self.head
            else None
        )
        return Figure(
            value,
            "kg",
            "dry matter dropped, less what was refused, over heads",
            {
                "dropped": f"{self.dropped_dry_g / 1000:.1f} kg dry matter",
                "re-fed from other pens": f"{self.refed_dry_g / 1000:.1f} kg dry matter",
                "refused": f"{self.refused_dry_g / 1000:.1f} kg dry matter",
                "head": f"{self.head:g}" if self.head else "not counted",
            },
            self.missing,
            entries_of(*self.entries),
            flag="" if value is not None else "?",
        )

    @property
    def refused_percent(self) -> Figure:
        """What was refused of what was dropped, as fed."""
        fed = self.dropped_g + self.refed_g
        value = 100 * self.refused_g / fed if fed and self.refusal_entries else None
        return Figure(
            value,
            "%",
            "weight refused over weight dropped, as fed",
            {"refused": f"{self.refused_g / 1000:.1f} kg", "dropped": f"{fed / 1000:.1f} kg"},
            () if value is not None else self.missing,
            entries_of(*self.entries),
        )


def pen_days(connection: Any, ground: Ground, first: date, last: date) -> dict[tuple[int, date], PenDay]:
    """Every pen on every farm day of a span, both ends included; pens without anything written too."""
    made = {
        (pen.pen, day): PenDay(pen.pen, day)
        for day in days_between(first, last)
        for pen in read_herd.pens(connection)
    }
    _count_heads(connection, ground, first, last, made)
    _add_drops(connection, first, last, made)
    _add_refusals(connection, ground, first, last, made)
    return made


def _count_heads(
    connection: Any, ground: Ground, first: date, last: date, made: dict[tuple[int, date], PenDay]
) -> None:
    """Heads of a pen on a day: the mean over the day's hours, since a count belongs to an instant.

    A pen's first day counts from its first count on.
    """
    start = ground.clock.day_starts(first)
    end = min(ground.clock.day_starts(last + timedelta(days=1)), ground.now_s + 1)
    counts: dict[int, list[Any]] = defaultdict(list)
    for row in read_herd.head_counts(connection, start, end):
        counts[row["pen"]].append(row)
    for (pen, day), its in made.items():
        begins = ground.clock.day_starts(day)
        ends = min(ground.clock.day_starts(day + timedelta(days=1)), ground.now_s + 1)
        spans = _spans(counts.get(pen, []), begins, ends)
        weight = sum(seconds for seconds, _ in spans)
        if weight > 0:
            its.head = sum(seconds * row["head"] for seconds, row in spans) / weight
            its.head_entries = list(dict.fromkeys(row["entry"] for _, row in spans))


def _spans(counts: Sequence[Any], begins: int, ends: int) -> list[tuple[int, Any]]:
    """How many seconds of a day each count held."""
    found = []
    for index, row in enumerate(counts):
        until = counts[index + 1]["counted_at"] if index + 1 < len(counts) else ends
        seconds = min(until, ends) - max(row["counted_at"], begins)
        if seconds > 0:
            found.append((seconds, row))
    return found


def dry_share_of(load: LoadRow) -> tuple[float, str]:
    """Dry matter of a load as a fraction, and a note where it was not weighed."""
    if load.loaded_g:
        return load.loaded_dry_g / load.loaded_g, ""
    if load.planned_g:
        dry = sum(row["planned_g"] * row["dry_ppm"] for row in load.planned) / MILLION
        return dry / load.planned_g, f"load {load.number} was not weighed in; its planned dry matter is used"
    return 0.0, f"load {load.number} has nothing in it"


def _add_drops(connection: Any, first: date, last: date, made: dict[tuple[int, date], PenDay]) -> None:
    loads = {load.load: load for load in read_feeding.loads(connection, first.isoformat(), last.isoformat())}
    for row in read_feeding.drops(connection, first.isoformat(), last.isoformat()):
        its = made.get((row["pen"], date.fromisoformat(row["farm_day"])))
        load = loads.get(row["load"]) or read_feeding.load_by_id(connection, row["load"])
        if its is None:
            continue
        its.drop_entries.append(row["entry"])
        its.dropped_g += row["dropped_g"]
        if load is None:
            its.notes.append("a drop's load was struck")
            continue
        share, note = dry_share_of(load)
        its.notes += [note] if note else []
        its.dropped_dry_g += row["dropped_g"] * share
        its.load_entries += [load.entry, *(weight["entry"] for weight in load.weighed)]


def _add_refusals(
    connection: Any, ground: Ground, first: date, last: date, made: dict[tuple[int, date], PenDay]
) -> None:
    # what was weighed on the first day may belong to the day before, whose feed it carries
    earlier = first - timedelta(days=1)
    for row in read_feeding.refusals(connection, earlier.isoformat(), last.isoformat()):
        fed_on = date.fromisoformat(row["fed_on"])
        its = made.get((row["pen"], fed_on))
        share = _refusal_dry_share(row, its)
        if its is not None:
            its.refusal_entries.append(row["entry"])
            its.refused_g += row["refused_g"]
            if share is None:
                its.notes.append("the dry matter of what was refused is not known")
            its.refused_dry_g += row["refused_g"] * (share or 0.0)
        if row["fed_to"] is not None:
            other = made.get((row["fed_to"], ground.clock.farm_day(row["weighed_at"])))
            if other is not None:
                other.refed_g += row["refused_g"]
                other.refed_dry_g += row["refused_g"] * (share if share is not None else 0.0)
                if share is None:
                    other.notes.append("the dry matter of what was re-fed is not known")
                other.load_entries.append(row["entry"])


def _refusal_dry_share(row: Any, its: PenDay | None) -> float | None:
    """As tested, else as the mix that was dropped to the pen."""
    if row["dry_ppm"] is not None:
        return float(row["dry_ppm"]) / MILLION
    if its is not None and its.dropped_g:
        return its.dropped_dry_g / its.dropped_g
    return None


def over_pens(found: Sequence[PenDay]) -> PenDay:
    """Several pens of one day as one: weights and heads added up."""
    whole = PenDay(0, found[0].day if found else date.min)
    for its in found:
        if its.head is not None:
            whole.head = (whole.head or 0.0) + its.head
        for name in ("dropped_g", "dropped_dry_g", "refed_g", "refed_dry_g", "refused_g", "refused_dry_g"):
            setattr(whole, name, getattr(whole, name) + getattr(its, name))
        for name in ("drop_entries", "load_entries", "refusal_entries", "head_entries"):
            getattr(whole, name).extend(getattr(its, name))
    return whole

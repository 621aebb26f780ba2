"""What each pen got, left and ate on each farm day, in sums that reports share."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading.feeding import LoadRow
from herdbook.chores.ground import Ground
from herdbook.reports.figures import Figure, days_between, entries_of, in_kg

MILLION = 1_000_000
NO_HEAD, NO_DROP, NO_REFUSAL = "no head count", "no drop written", "refusal not written"
LEAD_DAYS = 7
"""Leavings are weighed and re-fed within a week of the day they were fed on: common practice, no source."""


@dataclass(slots=True)
class PenDay:
    """One pen on one farm day: weights in grams as fed and as dry matter, head, and the entries under them.

    Several pens or days added up by `over_pens` are one too; `gaps_of_parts` is then what is missing in any of them.
    """

    pen: int
    day: date
    head: float | None = None
    head_entries: list[int] = field(default_factory=list)
    dropped_g: float = 0.0
    dropped_dry_g: float = 0.0
    drop_entries: list[int] = field(default_factory=list)
    load_entries: list[int] = field(default_factory=list)
    refed_g: float = 0.0
    refed_dry_g: float = 0.0
    refed_entries: list[int] = field(default_factory=list)
    refed_dry_entries: list[int] = field(default_factory=list)
    refused_g: float = 0.0
    refused_dry_g: float = 0.0
    refusal_entries: list[int] = field(default_factory=list)
    refused_dry_entries: list[int] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    gaps_of_parts: list[str] | None = None

    @property
    def fed_g(self) -> float:
        """Weight dropped, with what was re-fed from other pens."""
        return self.dropped_g + self.refed_g

    @property
    def fed_dry_g(self) -> float:
        """Dry matter dropped, with what was re-fed from other pens."""
        return self.dropped_dry_g + self.refed_dry_g

    @property
    def is_in_use(self) -> bool:
        """Whether anything was fed or refused, or heads stood in it."""
        return bool(self.head or self.drop_entries or self.refed_entries or self.refusal_entries)

    @property
    def gaps(self) -> tuple[str, ...]:
        """What is not written, in words, without which nothing can be said of what was eaten."""
        if self.gaps_of_parts is not None:
            return tuple(dict.fromkeys(self.gaps_of_parts))
        gaps = list(self.unknown)
        if not self.head:
            gaps.append(NO_HEAD)
        if not self.drop_entries and not self.refed_entries:
            gaps.append(NO_DROP)
        if not self.refusal_entries:
            gaps.append(NO_REFUSAL)
        return tuple(dict.fromkeys(gaps))

    @property
    def is_complete(self) -> bool:
        """Whether heads, drops and the refusal are all written."""
        return not self.gaps

    @property
    def missing(self) -> tuple[str, ...]:
        """What is not written or not certain, in words."""
        return tuple(dict.fromkeys([*self.notes, *self.gaps]))

    @property
    def fed_entries(self) -> tuple[int, ...]:
        """The entries under the dry matter fed."""
        return tuple(
            dict.fromkeys(
                [*self.drop_entries, *self.load_entries, *self.refed_entries, *self.refed_dry_entries]
            )
        )

    @property
    def refused_entries(self) -> tuple[int, ...]:
        """The entries under the dry matter refused."""
        return tuple(dict.fromkeys([*self.refusal_entries, *self.refused_dry_entries]))

    @property
    def entries(self) -> tuple[int, ...]:
        """Every entry under the pen's day."""
        return tuple(dict.fromkeys([*self.fed_entries, *self.refused_entries, *self.head_entries]))

    @property
    def dropped(self) -> Figure:
        """Dry matter fed, a head; none without heads or drops."""
        inputs = {
            "dropped": in_kg(self.dropped_dry_g / 1000, "dry matter"),
            "re-fed from other pens": in_kg(self.refed_dry_g / 1000, "dry matter"),
        }
        is_known = bool(self.drop_entries or self.refed_entries) and not self.unknown
        rule = "dry matter dropped, with what was re-fed to the pen, over heads"
        return self._per_head(self.fed_dry_g, rule, inputs, self.fed_entries, is_known=is_known)

    @property
    def refused(self) -> Figure:
        """Dry matter refused, a head; none until the refusal is written."""
        inputs = {"refused": in_kg(self.refused_dry_g / 1000, "dry matter")}
        is_known = bool(self.refusal_entries) and not self.unknown
        rule = "dry matter refused over heads"
        return self._per_head(self.refused_dry_g, rule, inputs, self.refused_entries, is_known=is_known)

    @property
    def eaten_kg(self) -> float | None:
        """The bare number of `eaten`, for comparing many days."""
        if not self.head or not self.is_complete:
            return None
        return (self.fed_dry_g - self.refused_dry_g) / 1000 / self.head

    @property
    def eaten(self) -> Figure:
        """Dry matter eaten a head; none until the refusal is written."""
        inputs = {
            "dropped": in_kg(self.dropped_dry_g / 1000, "dry matter"),
            "re-fed from other pens": in_kg(self.refed_dry_g / 1000, "dry matter"),
            "refused": in_kg(self.refused_dry_g / 1000, "dry matter"),
        }
        grams = self.fed_dry_g - self.refused_dry_g
        entries = [*self.fed_entries, *self.refused_entries]
        rule = "dry matter dropped, less what was refused, over heads"
        made = self._per_head(grams, rule, inputs, entries, is_known=self.is_complete)
        made = replace(made, missing=self.missing)
        if made.value is None:
            return replace(made, flag="?")
        return replace(made, flag="!", says="more refused than fed") if grams < 0 else made

    def _per_head(
        self,
        grams: float,
        rule: str,
        inputs: Mapping[str, Any],
        entries: Sequence[int],
        *,
        is_known: bool,
    ) -> Figure:
        head = self.head or 0.0
        value = grams / 1000 / head if is_known and head else None
        return Figure(
            value,
            "kg",
            rule,
            {**inputs, "head": f"{self.head:g}" if self.head else "not counted"},
            self.missing if value is None else tuple(dict.fromkeys(self.notes)),
            entries_of(*dict.fromkeys([*entries, *self.head_entries])),
        )

    @property
    def refused_percent(self) -> Figure:
        """What was refused of what was dropped, as fed; none until every refusal is written."""
        fed_g = self.fed_g
        has_all = not any(gap.endswith((NO_DROP, NO_REFUSAL)) for gap in self.gaps)
        value = 100 * self.refused_g / fed_g if fed_g and has_all else None
        inputs = {"refused": in_kg(self.refused_g / 1000), "dropped": in_kg(self.dropped_g / 1000)}
        if self.refed_g:
            inputs["re-fed from other pens"] = in_kg(self.refed_g / 1000)
        return Figure(
            value,
            "%",
            "weight refused over weight dropped, as fed",
            inputs,
            () if value is not None else self.missing,
            entries_of(*dict.fromkeys([*self.drop_entries, *self.refed_entries, *self.refusal_entries])),
        )


def pen_days(connection: Any, ground: Ground, first: date, last: date) -> dict[tuple[int, date], PenDay]:
    """Every pen on every farm day of a span, both ends included; pens without anything written too."""
    lead = first - timedelta(days=LEAD_DAYS)
    refusals = read_feeding.refusals(connection, lead.isoformat(), last.isoformat())
    begins = min([first, *_fed_before(refusals, ground, first)])
    pens = read_herd.pens(connection)
    made = {(pen.pen, day): PenDay(pen.pen, day) for day in days_between(begins, last) for pen in pens}
    _count_heads(connection, ground, begins, last, made)
    _add_drops(connection, begins, last, made)
    _add_refusals(refusals, ground, made)
    return made if begins == first else {key: its for key, its in made.items() if key[1] >= first}


def _fed_before(refusals: Sequence[Any], ground: Ground, first: date) -> Iterator[date]:
    """Days before the span whose leavings were re-fed in it: their mix is what was re-fed."""
    for row in refusals:
        is_before = row["fed_to"] is not None and row["fed_on"] < first.isoformat()
        if is_before and ground.clock.farm_day(row["weighed_at"]) >= first:
            yield date.fromisoformat(row["fed_on"])


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
    """How many seconds of a day each count held; counts in order of time."""
    found = []
    since = max(bisect_right(counts, begins, key=_counted_at) - 1, 0)
    for index, row in enumerate(counts[since:], start=since):
        if row["counted_at"] >= ends:
            break
        until = counts[index + 1]["counted_at"] if index + 1 < len(counts) else ends
        seconds = min(until, ends) - max(row["counted_at"], begins)
        if seconds > 0:
            found.append((seconds, row))
    return found


def _counted_at(row: Any) -> int:
    return int(row["counted_at"])


def dry_share_of(load: LoadRow) -> tuple[float | None, str]:
    """Dry matter of a load as a fraction, none of an empty one, and a note where not all of it was weighed in."""
    if load.loaded_g:
        weighed = {row["feed"] for row in load.weighed}
        left = [row for row in load.planned if row["planned_g"] and row["feed"] not in weighed]
        note = f"load {load.number}: not every planned feed was weighed in" if left else ""
        return load.loaded_dry_g / load.loaded_g, note
    if load.planned_g:
        dry = sum(row["planned_g"] * row["dry_ppm"] for row in load.planned) / MILLION
        return dry / load.planned_g, f"load {load.number} was not weighed in; its planned dry matter is used"
    return None, f"load {load.number} has nothing in it"


def _add_drops(connection: Any, first: date, last: date, made: dict[tuple[int, date], PenDay]) -> None:
    """Drops belong to the farm day of their load, whatever the hour."""
    for load in read_feeding.loads(connection, first.isoformat(), last.isoformat()):
        if not load.dropped:
            continue
        day = date.fromisoformat(load.farm_day)
        share, note = dry_share_of(load)
        under = [load.entry, *(row["entry"] for row in load.weighed)]
        for row in load.dropped:
            its = made.get((row["pen"], day))
            if its is None:
                continue
            its.drop_entries += (row["entry"], load.entry)
            its.load_entries += under
            its.dropped_g += row["dropped_g"]
            its.dropped_dry_g += row["dropped_g"] * (share or 0.0)
            if note:
                (its.unknown if share is None else its.notes).append(note)


def _add_refusals(refusals: Sequence[Any], ground: Ground, made: dict[tuple[int, date], PenDay]) -> None:
    """A refusal counts for the day it was fed on; what is re-fed counts as fed on the day it was weighed."""
    for row in refusals:  # by the day fed on: a pen's feed is whole before its leavings are judged
        its = made.get((row["pen"], date.fromisoformat(row["fed_on"])))
        share = _refusal_dry_share(row, its)
        tested = row["dry_ppm"] is not None
        if its is not None:
            its.refusal_entries.append(row["entry"])
            its.refused_g += row["refused_g"]
            its.refused_dry_g += row["refused_g"] * (share or 0.0)
            if not tested:
                its.refused_dry_entries += its.fed_entries
            if share is None and row["refused_g"]:
                its.unknown.append("the dry matter of what was refused is not known")
        if row["fed_to"] is not None:
            other = made.get((row["fed_to"], ground.clock.farm_day(row["weighed_at"])))
            if other is not None:
                _add_refed(other, row, share, () if tested or its is None else its.fed_entries)


def _add_refed(other: PenDay, row: Any, share: float | None, under: Sequence[int]) -> None:
    other.refed_g += row["refused_g"]
    other.refed_dry_g += row["refused_g"] * (share or 0.0)
    other.refed_entries.append(row["entry"])
    other.refed_dry_entries += under
    if share is None and row["refused_g"]:
        other.unknown.append("the dry matter of what was re-fed is not known")


def _refusal_dry_share(row: Any, its: PenDay | None) -> float | None:
    """As tested, else as the mix that was dropped to the pen, with what was re-fed to it."""
    if row["dry_ppm"] is not None:
        return float(row["dry_ppm"]) / MILLION
    if its is None or not its.fed_g or its.unknown:
        return None
    return its.fed_dry_g / its.fed_g


_WEIGHTS = ("dropped_g", "dropped_dry_g", "refed_g", "refed_dry_g", "refused_g", "refused_dry_g")
_LISTS = (
    "drop_entries",
    "load_entries",
    "refed_entries",
    "refed_dry_entries",
    "refusal_entries",
    "refused_dry_entries",
    "head_entries",
)


def over_pens(found: Sequence[PenDay], names: Mapping[int, str] | None = None) -> PenDay:
    """Several pens of one day, or days of one pen, as one: weights and heads added up.

    What is missing in one of them is missing in the whole; pens that stood empty are left out.

    Args:
        found: the pens or days.
        names: pen -> name, to say whose record is missing.
    """
    whole = PenDay(0, found[0].day if found else date.min)
    gaps, is_used = [], False
    for its in found:
        if not its.is_in_use:
            continue
        is_used = True
        whose = f"{names[its.pen]}: " if names and its.pen in names else ""
        gaps += [f"{whose}{gap}" for gap in its.gaps]
        whole.unknown += its.unknown
        whole.notes += its.notes
        if its.head is not None:
            whole.head = (whole.head or 0.0) + its.head
        for name in _WEIGHTS:
            setattr(whole, name, getattr(whole, name) + getattr(its, name))
        for name in _LISTS:
            getattr(whole, name).extend(getattr(its, name))
    if is_used:
        whole.gaps_of_parts = gaps
    return whole

"""Each pen's intake against its own last days: likely falls, with the evidence, and with heat and changes marked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import median
from typing import Any

from herdbook.book.reading import herd as read_herd
from herdbook.book.reading.herd import PenRow
from herdbook.book.reading.pen_cows import cows_of_pen_on
from herdbook.chores.ground import Ground
from herdbook.reports.fed import PenDay, pen_days
from herdbook.reports.figures import Column, Figure, Line, Report, Table, days_between, entries_of
from herdbook.reports.intake import SetIntakes
from herdbook.reports.intake_marks import Marks
from herdbook.science.intake_baseline import BASELINE_DAYS, IntakeDay, IntakeVerdict, judge_day

LOOK_BACK_DAYS = BASELINE_DAYS + 1
"""How many days before a day its judgement looks at."""
ALSO_LOW_PERCENT = -3.0
"""Another pen this far below its usual on the same day ate less too: common practice, no source."""
LESS_FED_PERCENT = -4.0
"""Fed this far below the usual: common practice, no source."""
SHOWN_DAYS = 14
RULE = "the day against the middle of the pen's own last 14 days, in units of their spread"

COLUMNS = (
    Column("day", "Day", "day"),
    Column("pen", "Pen"),
    Column("dm_eaten_kg", "DM eaten", "kg", 1),
    Column("dm_set_kg", "Set", "kg", 1),
    Column("dm_usual_kg", "Usual", "kg", 1),
    Column("off_percent", "Off usual", "%", 1),
    Column("two_days_percent", "Two days", "%", 1),
    Column("spread_percent", "Spread", "%", 1),
    Column("days", "Days"),
    Column("heat_index", "Heat index", "", 0),
    Column("says", "So"),
)
PREDICTED_COLUMNS = (
    Column("pen", "Pen"),
    Column("prediction", "Prediction"),
    Column("edition", "Edition"),
    Column("dm_kg", "DM", "kg", 1),
    Column("dm_eaten_kg", "Eaten, middle", "kg", 1),
    Column("off_kg", "Eaten less it", "kg", 1),
)


@dataclass(frozen=True, slots=True)
class Fall:
    """A likely fall of a pen's intake on a day, told with its evidence."""

    day: date
    pen: PenRow
    verdict: IntakeVerdict
    says: str
    entries: tuple[int, ...]


Verdicts = Mapping[tuple[int, date], IntakeVerdict]


def judged_days(
    ground: Ground, pens: Sequence[PenRow], first: date, last: date, fed: Mapping[tuple[int, date], PenDay]
) -> dict[tuple[int, date], IntakeVerdict]:
    """Every pen's days of a span judged; the running day only once its refusal is written.

    Args:
        ground: the farm's clock.
        pens: which pens.
        first, last: the span, both ends included.
        fed: `pen_days` over the span and `LOOK_BACK_DAYS` before it; fewer days judge less.
    """
    today = ground.clock.farm_day(ground.now_s)
    found = {}
    for pen in pens:
        begins = first - timedelta(days=LOOK_BACK_DAYS)
        known = {
            day: _known(its)
            for day in days_between(begins, last)
            if (its := fed.get((pen.pen, day))) is not None and (day < today or its.is_complete)
        }
        for day in days_between(first, last):
            window = [
                known[one] for one in days_between(day - timedelta(days=LOOK_BACK_DAYS), day) if one in known
            ]
            verdict = judge_day(window, day.toordinal())
            if verdict is not None:
                found[pen.pen, day] = verdict
    return found


def _known(its: PenDay) -> IntakeDay:
    head = its.head or 0.0
    is_fed = bool(head and (its.drop_entries or its.refed_entries) and not its.unknown)
    return IntakeDay(its.day.toordinal(), its.eaten_kg, its.fed_dry_g / 1000 / head if is_fed else None)


def falls(
    connection: Any,
    ground: Ground,
    first: date,
    last: date,
    fed: Mapping[tuple[int, date], PenDay],
    judged: Verdicts,
) -> Iterator[Fall]:
    """The likely falls of a span, each with its evidence.

    Args:
        judged: `judged_days` over the span, of every pen: the others tell whether it is the pen or the feed.
    """
    pens = read_herd.pens(connection)
    fallen = [
        (pen, day)
        for pen in pens
        for day in days_between(first, last)
        if _is_fall(judged.get((pen.pen, day)))
    ]
    if not fallen:
        return
    marks = Marks(connection, ground, first, last)
    for pen, day in fallen:
        verdict = judged[pen.pen, day]
        evidence = [
            *marks.of(pen.pen, day),
            *_fed_less(fed, pen.pen, day),
            *_others(judged, pens, pen, day),
        ]
        says = _in_words(verdict, ground) + "".join(f" {one[0].upper()}{one[1:]}." for one in evidence)
        under = [*fed[pen.pen, day].entries]
        before = fed.get((pen.pen, day - timedelta(days=1)))
        under += before.entries if before is not None else ()
        yield Fall(day, pen, verdict, says, tuple(dict.fromkeys([*under, *marks.entries(pen.pen, day)])))


def _is_fall(verdict: IntakeVerdict | None) -> bool:
    return verdict is not None and verdict.is_likely_fall


def _in_words(verdict: IntakeVerdict, ground: Ground) -> str:
    now, usual = (ground.units.mass(kg * 1000, 1) for kg in (verdict.eaten, verdict.usual))
    two = ""
    if verdict.two_days_percent is not None:
        two = f", {verdict.two_days_percent:+.0f} % over two days"
    estimated = " (refusal not written; its usual share is taken)" if verdict.estimated else ""
    return (
        f"ate {now} a head{estimated}, {verdict.percent:+.0f} %{two} against the middle of its last "
        f"{verdict.days} days, {usual}; those vary by {100 * verdict.spread:.1f} %."
    )


def _fed_less(fed: Mapping[tuple[int, date], PenDay], pen: int, day: date) -> Iterator[str]:
    """Less fed and hardly anything left is a matter of the call, not of the cows."""
    its = fed[pen, day]
    lately = [
        known.fed
        for back in range(2, LOOK_BACK_DAYS + 1)
        if (before := fed.get((pen, day - timedelta(days=back)))) is not None
        and (known := _known(before)).fed is not None
    ]
    now = _known(its).fed
    if now is None or not lately:
        return
    usual = median(lately)
    percent = 100 * (now / usual - 1) if usual else 0.0
    if percent <= LESS_FED_PERCENT:
        left = its.refused_percent.number
        share = "" if left is None else f", {left:.1f} % of it left"
        yield f"{-percent:.0f} % less was fed{share}: look at the call"


def _others(judged: Verdicts, pens: Sequence[PenRow], pen: PenRow, day: date) -> Iterator[str]:
    others = [judged[one.pen, day] for one in pens if one.pen != pen.pen and (one.pen, day) in judged]
    low = sum(one.percent <= ALSO_LOW_PERCENT for one in others)
    if low and low * 2 >= len(others):
        yield f"{low} of {len(others)} other pens ate less too: look at dry matter, scale and weather first"


def make(
    connection: Any, ground: Ground, *, pen: int | None = None, of: date | None = None, days: int = SHOWN_DAYS
) -> Report:
    """Intake by pen and day against set, predicted and the pen's own last days; dry matter a head.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        pen: only this pen.
        of: the last day; today if not given.
        days: how many days back, that day included.
    """
    last = of or ground.clock.farm_day(ground.now_s)
    first = last - timedelta(days=days - 1)
    fed = pen_days(connection, ground, first - timedelta(days=LOOK_BACK_DAYS), last)
    every = read_herd.pens(connection)
    pens = [one for one in every if pen in (None, one.pen)]
    judged = judged_days(ground, every, first, last, fed)
    sets, marks = SetIntakes(connection, ground, first, last), Marks(connection, ground, first, last)
    lines = [
        _line(one, fed[one.pen, day], judged.get((one.pen, day)), sets.of(one.pen, day), marks)
        for day in reversed(days_between(first, last))
        for one in pens
        if (its := fed[one.pen, day]).fed_entries or its.refusal_entries
    ]
    told = [
        f"{fall.pen.name} {fall.day.isoformat()}: {fall.says}"
        for fall in falls(connection, ground, first, last, fed, judged)
        if pen in (None, fall.pen.pen)
    ]
    return Report(
        "intake-watch",
        f"Intake against its own last days, {first.isoformat()} to {last.isoformat()}, dry matter a head",
        tables=(
            Table("pens", "By pen and day", COLUMNS, tuple(lines), "Nothing was fed in these days."),
            _predicted(connection, ground, pens, first, last, fed),
        ),
        warnings=tuple(reversed(told)),
        data=judged,
    )


def _line(pen: PenRow, its: PenDay, verdict: IntakeVerdict | None, is_set: Figure, marks: Marks) -> Line:
    under = its.eaten.entries
    words = list(marks.of(pen.pen, its.day))
    few = () if verdict is not None else ("too few days before it, or nothing known of it",)

    def judged(value: float | None, unit: str = "%", **more: Any) -> Figure:
        return Figure(value, unit, RULE, missing=few, entries=under, **more)

    if verdict is None:
        numbers = dict.fromkeys(
            ("dm_usual_kg", "off_percent", "two_days_percent", "spread_percent", "days"), judged(None)
        )
    else:
        is_low = verdict.is_likely_fall
        words = ["likely fall"] * is_low + ["refusal not written"] * verdict.estimated + words
        numbers = {
            "dm_usual_kg": judged(verdict.usual, "kg"),
            "off_percent": judged(verdict.percent, flag="!" if is_low else "", says="low" if is_low else ""),
            "two_days_percent": judged(verdict.two_days_percent),
            "spread_percent": judged(100 * verdict.spread),
            "days": judged(verdict.days, ""),
        }
    return Line(
        f"{its.day.isoformat()} {pen.name}",
        {
            "day": Figure(its.day.isoformat(), "day"),
            "pen": Figure(pen.name),
            "dm_eaten_kg": its.eaten,
            "dm_set_kg": is_set,
            **numbers,
            "heat_index": marks.heat(its.day),
            "says": Figure("; ".join(words), entries=entries_of(*marks.entries(pen.pen, its.day))),
        },
    )


def _predicted(
    connection: Any,
    ground: Ground,
    pens: Sequence[PenRow],
    first: date,
    last: date,
    fed: Mapping[tuple[int, date], PenDay],
) -> Table:
    """What published equations foretell of the cows as written, beside the middle of what they ate."""
    from herdbook.reports.four_rations import SET, FourRations
    from herdbook.reports.parts_of import leaf_parts
    from herdbook.reports.pen_known import intake_predictions, known_of

    lines = []
    for pen in pens:
        cows = cows_of_pen_on(connection, pen.pen, last.isoformat())
        if cows is None:
            continue
        ration = FourRations(connection, ground, pen.pen, last, last).ration(SET)
        eaten = _middle([fed[pen.pen, day] for day in days_between(first, last)])
        under = tuple(dict.fromkeys((*cows.entries, *ration.carried_entries)))
        for one in intake_predictions(known_of(cows, pen.kind), leaf_parts(ration.parts), ration.totals):
            remarks = tuple(f"{word} not known" for word in one.missing) or one.cautions
            value = Figure(
                one.value,
                "kg",
                one.rule,
                missing=remarks,
                entries=entries_of(*under),
                flag="?" if remarks else "",
            )
            off = None if one.value is None or eaten.number is None else eaten.number - one.value
            both = (*under, *eaten.entries())
            lines.append(
                Line(
                    f"{pen.name} {one.rule}",
                    {
                        "pen": Figure(pen.name),
                        "prediction": Figure(one.title),
                        "edition": Figure(one.edition),
                        "dm_kg": value,
                        "dm_eaten_kg": eaten,
                        "off_kg": Figure(off, "kg", "eaten less predicted", entries=entries_of(*both)),
                    },
                )
            )
    nothing = "Nothing is known of the pens' cows: write it with `herdbook write pen-cows`."
    return Table("predicted", "Predicted", PREDICTED_COLUMNS, tuple(lines), nothing)


def _middle(days: Sequence[PenDay]) -> Figure:
    known = [(its.eaten_kg, its.entries) for its in days if its.eaten_kg is not None]
    under = [number for _, entries in known for number in entries]
    return Figure(
        median(kg for kg, _ in known) if known else None,
        "kg",
        "middle of the complete days",
        missing=() if known else ("no complete day",),
        entries=entries_of(*under),
    )

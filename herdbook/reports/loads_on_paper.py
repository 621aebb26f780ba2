"""The loads of a day on paper: for the wall, with blanks for what the pencil writes; plain text, or one HTML file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape
from textwrap import wrap
from typing import Any

from herdbook.book.reading import feeds as read_feeds
from herdbook.chores.day_plan import DayPlan, PlannedLoad
from herdbook.chores.ground import Ground
from herdbook.clock import shown_day
from herdbook.plain import plain
from herdbook.reports.feeding_plan import begun_as, drop_g, warnings_of

WIDTH = 80
NAME = 25
SMALL_G = 50_000
"""Amounts under 50 kg are printed with a decimal, those by hand with two: common practice, no source."""
BLANK, CLOCK = "_________", "___:___"


@dataclass(frozen=True, slots=True)
class FeedOnPaper:
    """One feed's line: what to add, what the scale then shows (none where it cannot see it), and its caution."""

    place: int
    name: str
    add: str
    scale_to: str
    by_hand: bool
    caution: str


@dataclass(frozen=True, slots=True)
class DropOnPaper:
    """One pen's line: head and what it is to get."""

    pen: str
    head: int
    part: str
    ask: str


@dataclass(frozen=True, slots=True)
class LoadOnPaper:
    """One load of the sheet."""

    number: int
    feeding: int
    mixer: str
    ration: str
    head: int
    total: str
    feeds: tuple[FeedOnPaper, ...]
    drops: tuple[DropOnPaper, ...]
    begun: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """A day's loads, or one feeding's, ready to be printed."""

    farm: str
    day: date
    made: str
    unit: str
    loads: tuple[LoadOnPaper, ...]
    refusals: tuple[str, ...]
    warnings: tuple[str, ...]
    invented: bool
    enter: str

    @property
    def title(self) -> str:
        """What the sheet is of."""
        return f"{shown_day(self.day)} {self.day.year}"


def sheet_of(
    connection: Any, ground: Ground, plan: DayPlan, *, farm: str, invented: bool, feeding: int | None = None
) -> Sheet:
    """A plan as it is printed.

    Args:
        connection: the book, for the feeds' cautions.
        ground: the farm's units, clock and names.
        plan: the day's plan.
        farm: the farm's name.
        invented: whether it is a made-up farm.
        feeding: only this feeding; all of the day's if none.
    """
    cautions = {row.feed: row.caution for row in read_feeds.feeds(connection)}
    loads = [load for load in plan.loads if feeding in (None, load.feeding)]
    pens = dict.fromkeys(pen for load in loads for pen in load.pens)
    only = f" --feeding {feeding}" if feeding else ""
    return Sheet(
        plain(farm),
        plan.day,
        f"{shown_day(ground.clock.local(plan.at_s).date())} {ground.clock.shown_time(plan.at_s)}",
        ground.units.load,
        tuple(_load(load, ground, cautions) for load in loads),
        tuple(plain(ground.name_of("pen", pen)) for pen in pens) if feeding in (None, 1) else (),
        tuple(warnings_of(plan, loads, ground)),
        invented,
        f"herdbook enter --of {plan.day.isoformat()}{only}",
    )


def _load(load: PlannedLoad, ground: Ground, cautions: Mapping[int, str]) -> LoadOnPaper:
    split = load.split
    seen_mg = 0
    feeds = []
    for place, line in enumerate(split.lines, start=1):
        moved = line.scale_to_g != seen_mg
        seen_mg = line.scale_to_g
        feeds.append(
            FeedOnPaper(
                place,
                plain(ground.name_of("feed", line.feed)),
                _weight(line.grams, ground, by_hand=line.by_hand),
                ground.units.mass(line.scale_to_g, with_unit=False) if moved else "",
                line.by_hand,
                plain(cautions.get(line.feed, "")),
            )
        )
    return LoadOnPaper(
        load.number,
        load.feeding,
        plain(ground.name_of("mixer", split.mixer.key)),
        plain(ground.name_of("ration", load.ration)),
        split.head,
        ground.units.mass(split.total_g),
        tuple(feeds),
        tuple(
            DropOnPaper(
                plain(ground.name_of("pen", pen.pen)),
                pen.head,
                "" if pen.part > 0.9995 else f"{100 * pen.part:.0f} % of it",
                ground.units.mass(drop_g(load, pen.grams), with_unit=False),
            )
            for pen in split.pens
        ),
        begun_as(load),
    )


def _weight(grams: int, ground: Ground, *, by_hand: bool) -> str:
    decimals = 2 if by_hand and grams < SMALL_G else 0
    return ground.units.mass(grams, decimals, with_unit=False)


# -- text --


def as_text(sheet: Sheet) -> str:
    """The sheet in plain letters, 80 columns wide, for any printer."""
    lines: list[str] = []
    mark = "  (made-up farm)" if sheet.invented else ""
    lines.append(_ends(f"LOADS OF {sheet.title.upper()}", f"{sheet.farm}{mark}"))
    lines += _folded(_worked_out(sheet))
    for warning in sheet.warnings:
        lines += _folded(f"! {warning}")
    if not sheet.loads:
        lines += ["", "No load is planned."]
    for load in sheet.loads:
        lines += ["", *_load_text(load, sheet.unit)]
    if sheet.refusals:
        lines += ["", *_refusals_text(sheet)]
    lines += ["", f"Enter it: {sheet.enter}"]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _worked_out(sheet: Sheet) -> str:
    return (
        f"Worked out {sheet.made} from heads, rations and the newest dry matter; print again after a count, a test "
        "or a change."
    )


def _ends(left: str, right: str) -> str:
    """Two texts at both ends of a line; under each other where they do not fit beside."""
    if len(left) + len(right) + 2 > WIDTH:
        return "\n".join(line for text in (left, right) for line in wrap(text, WIDTH))
    return f"{left}{' ' * (WIDTH - len(left) - len(right))}{right}"


def _folded(text: str, indent: str = "") -> list[str]:
    return wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent)


def _load_text(load: LoadOnPaper, unit: str) -> Iterator[str]:
    yield "=" * WIDTH
    yield _ends(
        f"LOAD {load.number}   feeding {load.feeding}   {load.mixer}", f"{load.head} head   {load.total}"
    )
    yield _ends(load.ration, f"already begun as {load.begun}" if load.begun else "")
    yield f"Began {CLOCK}   By ______________________   Done {CLOCK}"
    yield "-" * WIDTH
    yield f"    {'Feed':{NAME}} {'Add ' + unit:>10} {'Scale to':>9}   {'Scale read':<11} Time"
    for feed in load.feeds:
        first, *rest = wrap(feed.name, NAME) or [""]
        add = f"+{feed.add}" if feed.by_hand else feed.add
        yield f"{feed.place:2}  {first:{NAME}} {add:>10} {feed.scale_to:>9}   {BLANK:<11} {CLOCK}"
        yield from (f"    {more}" for more in rest)
        if feed.by_hand:
            yield "    weigh by hand, write its own weight with a plus"
        if feed.caution:
            yield from _folded(f"! {feed.caution}", "    ")
    yield "-" * WIDTH
    yield f"    {'Drop to':{NAME}} {'Head':>6} {'Ask ' + unit:>13}   {'Dropped':<11} Time"
    for drop in load.drops:
        first, *rest = wrap(f"{drop.pen} {drop.part}".strip(), NAME)
        yield f"    {first:{NAME}} {drop.head:>6,} {drop.ask:>13}   {BLANK:<11} {CLOCK}"
        yield from (f"    {more}" for more in rest)


def _refusals_text(sheet: Sheet) -> Iterator[str]:
    yield "=" * WIDTH
    yield f"REFUSALS of {shown_day(sheet.day - timedelta(days=1))}, weighed back this morning"
    yield f"    {'Pen':{NAME}} {'Left ' + sheet.unit:<11} {'Dry %':<7} {'Thrown, or re-fed to':<21} Time"
    for pen in sheet.refusals:
        first, *rest = wrap(pen, NAME)
        yield f"    {first:{NAME}} {BLANK:<11} {'_____':<7} {'__________________':<21} {CLOCK}"
        yield from (f"    {more}" for more in rest)


# -- HTML --

STYLE = """
body { font: 12pt/1.35 sans-serif; color: #000; background: #fff; margin: 1.5em; }
h1 { font-size: 1.3em; margin: 0; } h2 { font-size: 1.15em; margin: 0 0 .2em; }
section { border-top: 3px solid #000; margin-top: 1.2em; padding-top: .4em; }
table { border-collapse: collapse; width: 100%; margin: .4em 0; }
th, td { border: 1px solid #000; padding: .3em .5em; text-align: left; vertical-align: top; }
td.n, th.n { text-align: right; font-variant-numeric: tabular-nums; } td.big { font-size: 1.25em; font-weight: bold; }
td.blank { min-width: 6em; } .note { font-weight: bold; } p { margin: .3em 0; }
@page { margin: 12mm; }
@media print {
  body { margin: 0; } section, tr { break-inside: avoid; } thead { display: table-header-group; }
  section + section { break-before: auto; }
}
""".strip()


def as_html(sheet: Sheet) -> str:
    """The sheet as one HTML file with nothing beside it; everything people wrote is escaped."""
    mark = " (made-up farm)" if sheet.invented else ""
    body = [
        f"<h1>Loads of {escape(sheet.title)}</h1>",
        f"<p>{escape(sheet.farm)}{mark}. {escape(_worked_out(sheet))}</p>",
        *(f'<p class="note">! {escape(warning)}</p>' for warning in sheet.warnings),
        *([] if sheet.loads else ["<p>No load is planned.</p>"]),
        *(_load_html(load, sheet.unit) for load in sheet.loads),
        *([_refusals_html(sheet)] if sheet.refusals else []),
        f"<p>Enter it: <code>{escape(sheet.enter)}</code></p>",
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f"<title>Loads of {escape(sheet.title)}</title>\n<style>\n{STYLE}\n</style>\n</head>\n<body>\n"
        + "\n".join(body)
        + "\n</body>\n</html>\n"
    )


def _load_html(load: LoadOnPaper, unit: str) -> str:
    begun = f" Already begun as {escape(load.begun)}." if load.begun else ""
    feeds = [
        (
            str(feed.place),
            escape(feed.name)
            + ('<br><span class="note">weigh by hand</span>' if feed.by_hand else "")
            + (f'<br><span class="note">! {escape(feed.caution)}</span>' if feed.caution else ""),
            escape(feed.add),
            escape(feed.scale_to),
            "",
            "",
        )
        for feed in load.feeds
    ]
    drops = [
        (escape(f"{drop.pen} {drop.part}".strip()), f"{drop.head:,}", escape(drop.ask), "", "")
        for drop in load.drops
    ]
    return (
        f"<section>\n<h2>Load {load.number}, feeding {load.feeding}, {escape(load.mixer)}</h2>\n"
        f"<p>{escape(load.ration)}, {load.head} head, {escape(load.total)}.{begun}</p>\n"
        "<p>Began ____________ &nbsp; By ______________________ &nbsp; Done ____________</p>\n"
        + _table_html(("", "Feed", f"Add {unit}", "Scale to", "Scale read", "Time"), feeds, "..Nn--")
        + _table_html(("Drop to", "Head", f"Ask {unit}", "Dropped", "Time"), drops, ".nN--")
        + "</section>"
    )


def _refusals_html(sheet: Sheet) -> str:
    day = escape(shown_day(sheet.day - timedelta(days=1)))
    rows = [(escape(pen), "", "", "", "") for pen in sheet.refusals]
    heads = ("Pen", f"Left {sheet.unit}", "Dry %", "Thrown, or re-fed to", "Time")
    return (
        f"<section>\n<h2>Refusals of {day}, weighed back this morning</h2>\n"
        + _table_html(heads, rows, ".----")
        + "</section>"
    )


_CLASSES = {".": "", "n": ' class="n"', "N": ' class="n big"', "-": ' class="blank"'}


def _table_html(heads: Sequence[str], rows: Sequence[Sequence[str]], kinds: str) -> str:
    """A table; `kinds` says of each column whether it holds words (.), numbers (n, N large) or a blank (-)."""
    top = "".join(
        f"<th{_CLASSES['n'] if kind in 'nN' else ''}>{escape(head)}</th>"
        for head, kind in zip(heads, kinds, strict=True)
    )
    lines = [
        "<tr>"
        + "".join(f"<td{_CLASSES[kind]}>{cell}</td>" for cell, kind in zip(row, kinds, strict=True))
        + "</tr>"
        for row in rows
    ]
    return f"<table>\n<thead><tr>{top}</tr></thead>\n<tbody>\n" + "\n".join(lines) + "\n</tbody>\n</table>\n"


# -- to be filled in by another program --


def as_fields(plan: DayPlan, ground: Ground, feeding: int | None = None) -> list[dict[str, Any]]:
    """The loads as fields of the chore `load-sheet`, with empty texts where the pencil's figures go.

    `herdbook enter --json` reads it back filled in; a load whose `began` is left empty was not mixed.
    """
    return [
        {
            "day": plan.day.isoformat(),
            "planned_load": load.number,
            "began": "",
            "planned": {
                ground.name_of("feed", line.feed): ground.units.mass(line.grams, 2)
                for line in load.split.lines
            },
            "fed": {ground.name_of("feed", line.feed): "" for line in load.split.lines},
            "drop": {ground.name_of("pen", pen): "" for pen in load.pens},
        }
        for load in plan.loads
        if feeding in (None, load.feeding) and not load.begun
    ]

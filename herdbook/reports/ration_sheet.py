"""A ration on one page to print and hang up: feeds in loading order, a load, targets, cautions, who set it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import entries as read_entries
from herdbook.book.reading import feeding as read_feeding
from herdbook.book.reading import feeding_plan as read_plan
from herdbook.book.reading import herd as read_herd
from herdbook.book.reading import rations as read_rations
from herdbook.chores.cautions import cautions_of_version
from herdbook.chores.ground import Ground
from herdbook.errors import ChoreRefused
from herdbook.plain import plain
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of, in_kg
from herdbook.reports.parts_of import FedPart
from herdbook.reports.ration import (
    FLAGS,
    RationSheet,
    cost_of,
    end_of_day,
    judged_against,
    ration_value,
    sheet_of,
)
from herdbook.science.figures import amount_of, ration_figures
from herdbook.science.load_split import fewest_loads, in_order, on_step

MILLION = 1_000_000
LOOK_BACK_DAYS = 14
"""The mixer that mixed the ration within so many days is the one meant."""

FACT_COLUMNS = {
    "since": Column("since", "In force from", "day"),
    "feeding": Column("feeding", "from feeding"),
    "set_by": Column("set_by", "Set by"),
    "set_at": Column("set_at", "Written", "time"),
    "note": Column("note", "Note"),
    "pens": Column("pens", "For"),
    "mixer": Column("mixer", "Mixer"),
    "loads": Column("loads", "Loads"),
    "as_fed_kg": Column("as_fed_kg", "As fed a head", "kg", 2),
    "dm_kg": Column("dm_kg", "Dry matter", "kg", 2),
    "dm_percent": Column("dm_percent", "of the mix", "%", 1),
    "cost_cents": Column("cost_cents", "Cost a head", "cents", 2),
    "entry": Column("entry", "Chain at entry"),
    "chain_head": Column("chain_head", "Its head"),
}
FEED_COLUMNS = (
    Column("place", "No."),
    Column("feed", "Feed"),
    Column("as_fed_kg", "As fed", "kg", 2),
    Column("dm_percent", "DM %", "%", 1),
    Column("dm_kg", "DM", "kg", 2),
    Column("load_kg", "A load", "kg"),
    Column("scale_kg", "Scale", "kg"),
)
TARGET_COLUMNS = (
    Column("figure", "Figure"),
    Column("value", "Set", "own", 2),
    Column("unit", "Unit"),
    Column("low", "Low", "own", 2),
    Column("aim", "Aim", "own", 2),
    Column("high", "High", "own", 2),
    Column("verdict", "Verdict"),
)


@dataclass(frozen=True, slots=True)
class LoadOfIt:
    """One feeding of all the ration's pens, parted into equal loads of one mixer.

    Args:
        mixer: its number in the book.
        loads: how many it takes.
        head: head in the pens.
        cow_feedings: heads times call over feedings.
        step_mg: the scale's step.
        order: the feeds in the mixer's own order, where it has one.
        entries: those under the heads, the calls and the mixer.
    """

    mixer: int
    loads: int
    head: int
    cow_feedings: float
    step_mg: int
    order: tuple[int, ...]
    entries: tuple[int, ...]

    def grams(self, as_fed_kg: float) -> int:
        """What one load takes of a feed, to the scale's step."""
        return on_step(as_fed_kg * 1000 * self.cow_feedings / self.loads, self.step_mg)


def make(
    connection: Any, ground: Ground, *, name: int, on: date | None = None, mixer: int | None = None
) -> Report:
    """The page.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        name: the ration.
        on: as it stands on that day; today if not given.
        mixer: what a load is of; the only mixer, or the one that mixed the ration last, if not given.

    Raises:
        ChoreRefused: the ration has no version in force on that day.
    """
    day = on or ground.clock.farm_day(ground.now_s)
    version = read_rations.version_in_force(connection, name, day.isoformat())
    label = ground.name_of("ration", name)
    if version is None:
        raise ChoreRefused(
            f"Ration {label} has no version in force on {day.isoformat()}.", remedy="Choose a later day."
        )
    sheet = sheet_of(connection, ground, version, day)
    pens = _Pens(connection, ground, name, day)
    load = _load(connection, ground, name, day, mixer, sheet, pens)
    hard = [
        one.says
        for one in cautions_of_version(connection, ground, version, at_s=end_of_day(ground, day))
        if one.hard
    ]
    return Report(
        "ration-sheet",
        f"{label}, version {version.version}, a head and day",
        facts=_facts(connection, ground, sheet, pens, load),
        columns=FACT_COLUMNS,
        tables=(
            Table("feeds", "Feeds in loading order", FEED_COLUMNS, tuple(_feed_lines(sheet, load))),
            Table("targets", "Targets", TARGET_COLUMNS, tuple(_target_lines(sheet)), "No target is set."),
        ),
        warnings=(*hard, *pens.gaps, *sheet.cautions),
        data=sheet,
    )


class _Pens:
    """The pens that get the ration on a day, with head and call."""

    def __init__(self, connection: Any, ground: Ground, ration: int, day: date) -> None:
        self.words: list[str] = []
        self.gaps: list[str] = []
        self.entries: list[int] = []
        self.head, self.cow_feedings = 0, 0.0
        for pen in read_herd.pens(connection):
            its = read_rations.pen_ration_on(connection, pen.pen, day.isoformat())
            if its is None or its["ration"] != ration:
                continue
            count = read_herd.head_at(connection, pen.pen, end_of_day(ground, day))
            call = its["call_ppm"] / 10_000
            times = "once a day" if its["feedings"] == 1 else f"{its['feedings']} feedings"
            heads = "head not counted" if count is None else f"{count.head} head"
            self.words.append(f"{pen.name} ({heads}, {call:g} % call, {times})")
            self.entries.append(its["entry"])
            if count is None:
                self.gaps.append(f"{pen.name} has no head count: a load is without it.")
                continue
            self.entries.append(count.entry)
            self.head += count.head
            self.cow_feedings += count.head * its["call_ppm"] / MILLION / its["feedings"]


def _load(
    connection: Any,
    ground: Ground,
    ration: int,
    day: date,
    mixer: int | None,
    sheet: RationSheet,
    pens: _Pens,
) -> LoadOfIt | None:
    """The loads of one feeding; none without heads or where no mixer is meant."""
    cards = read_rations.mixers(connection)
    chosen = mixer if mixer is not None else _mixer_meant(connection, ration, day, list(cards))
    whole_g = sheet.totals.as_fed_kg * 1000 * pens.cow_feedings
    if chosen not in cards or not whole_g:
        return None
    card = cards[chosen]
    loads = fewest_loads(whole_g, card["capacity_g"])
    order, order_entry = read_plan.mixer_order(connection, chosen, day.isoformat())
    under = [*pens.entries, card["entry"], *(() if order_entry is None else (order_entry,))]
    return LoadOfIt(chosen, loads, pens.head, pens.cow_feedings, card["step_mg"], order, tuple(under))


def _mixer_meant(connection: Any, ration: int, day: date, mixers: list[int]) -> int | None:
    if len(mixers) == 1:
        return mixers[0]
    since = day - timedelta(days=LOOK_BACK_DAYS)
    mixed = [
        load.mixer
        for load in read_feeding.loads(connection, since.isoformat(), day.isoformat())
        if load.ration == ration
    ]
    return mixed[-1] if mixed else None


def _facts(
    connection: Any, ground: Ground, sheet: RationSheet, pens: _Pens, load: LoadOfIt | None
) -> dict[str, Figure]:
    version, known = sheet.version, ration_figures()
    entry = read_entries.entry(connection, version.entry)
    newest = read_entries.newest_entries(connection, 1)[0]
    own, head = entries_of(version.entry), entries_of(newest["number"])
    facts = {
        "since": Figure(version.from_day, "day", entries=own),
        "feeding": Figure(version.from_feeding if version.from_feeding > 1 else None, entries=own),
        "set_by": Figure(plain(entry["who"] or "") if entry else None, entries=own),
        "set_at": Figure(entry["written_ms"] // 1000 if entry else None, "time", entries=own),
        "note": Figure(plain(entry["note"]) if entry and entry["note"] else None, entries=own),
        "pens": Figure("; ".join(pens.words) or None, entries=entries_of(*pens.entries)),
        "mixer": Figure(
            None if load is None else ground.name_of("mixer", load.mixer),
            missing=() if load else ("no mixer is meant: name one with `mixer`",),
            entries=entries_of(*(load.entries if load else ())),
        ),
        "loads": Figure(
            None if load is None else load.loads,
            "",
            "one feeding of all its pens over what the mixer holds, in equal loads",
            {"heads times call over feedings": f"{pens.cow_feedings:.2f}"},
            entries=entries_of(*(load.entries if load else ())),
        ),
        "as_fed_kg": ration_value(known["as_fed"], sheet),
        "dm_kg": ration_value(known["dm_intake"], sheet),
        "dm_percent": ration_value(known["dm_share"], sheet),
        "cost_cents": cost_of(sheet.parts),
        "entry": Figure(newest["number"], entries=head),
        "chain_head": Figure(newest["hash"], rule="hash of the newest entry in the book", entries=head),
    }
    empty = ("feeding", "note", "mixer", "loads", "pens")
    return {key: figure for key, figure in facts.items() if figure.value is not None or key not in empty}


def _feed_lines(sheet: RationSheet, load: LoadOfIt | None) -> list[Line]:
    lines, scale_g = [], 0
    parts = {fed.feed: fed for fed in sheet.parts}
    order = in_order(parts, load.order if load else ())
    for place, fed in enumerate((parts[feed] for feed in order), start=1):
        grams = None if load is None else load.grams(fed.part.as_fed_kg)
        scale_g += grams or 0
        lines.append(_feed_line(place, fed, load, grams, scale_g))
    return lines


def _feed_line(place: int, fed: FedPart, load: LoadOfIt | None, grams: int | None, scale_g: int) -> Line:
    part, under = fed.part, entries_of(*fed.weight_entries)
    since = {"dry matter": fed.dry.since if fed.dry else "not known"}
    both = entries_of(*dict.fromkeys([*fed.weight_entries, *(load.entries if load else ())]))
    told = {} if load is None else {
        "a head": in_kg(part.as_fed_kg),
        "heads times call over feedings": f"{load.cow_feedings:.2f}",
        "loads": str(load.loads),
        "scale step": in_kg(load.step_mg / 1_000_000),
    }  # fmt: skip
    return Line(
        part.feed,
        {
            "place": Figure(str(place)),
            "feed": Figure(part.feed),
            "as_fed_kg": Figure(
                part.as_fed_kg, "kg", "as set, at the dry matter in force", since, entries=under
            ),
            "dm_percent": Figure(100 * part.dry_fraction, "%", "the newest dry matter", since, entries=under),
            "dm_kg": Figure(
                part.as_fed_kg * part.dry_fraction, "kg", "weight as fed times dry matter", entries=under
            ),
            "load_kg": Figure(
                None if grams is None else grams / 1000,
                "kg",
                "a head, times heads, call and the feeding's share, over the loads, to the scale's step",
                told,
                entries=both,
            ),
            "scale_kg": Figure(
                None if grams is None else scale_g / 1000,
                "kg",
                "what the scale shows when it is in",
                told,
                entries=both,
            ),
        },
    )


def _target_lines(sheet: RationSheet) -> list[Line]:
    known = ration_figures()
    wanted = [key for key in known if key in sheet.targets] + [key for key in sheet.targets if amount_of(key)]
    lines = []
    for key in wanted:
        of, bounds = known[key], sheet.targets[key]
        value = ration_value(of, sheet)
        judged = judged_against(of, value.number, bounds)
        target = entries_of(sheet.target_entry)
        lines.append(
            Line(
                key,
                {
                    "figure": Figure(of.label),
                    "value": value,
                    "unit": Figure(of.unit),
                    "low": Figure(bounds[0], of.unit, entries=target),
                    "aim": Figure(bounds[1], of.unit, entries=target),
                    "high": Figure(bounds[2], of.unit, entries=target),
                    "verdict": Figure(
                        judged.word,
                        "",
                        "the value against the nutritionist's low and high; right at a limit is ok",
                        {"value": value},
                        entries=value.entries,
                        flag=FLAGS.get(judged.word, ""),
                        says=judged.word,
                    ),
                },
            )
        )
    return lines

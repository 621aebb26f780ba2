"""Washes and emptying: what was washed, how long milk has stood, and which thermometers were checked."""

from __future__ import annotations

from typing import Any

from herdbook.book.reading import milk as read_milk
from herdbook.book.reading import milk_rounds as read_rounds
from herdbook.chores.ground import Ground
from herdbook.chores.thermometer_words import error_words
from herdbook.chores.wash_cautions import NEVER_MIX
from herdbook.reports.cooling import tank_state
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of
from herdbook.reports.tank_rounds import TankRounds, tank_rounds

TANK_COLUMNS = (
    Column("tank", "Tank"),
    Column("emptied_at", "Emptied", "time"),
    Column("since_emptied_h", "Since", "h", 1),
    Column("empty_by", "Empty by", "time"),
    Column("limit", "Limit"),
    Column("washed_at", "Washed", "time"),
)
WASH_COLUMNS = (
    Column("washed_at", "Washed", "time"),
    Column("what", "What"),
    Column("steps", "Steps"),
    Column("begins_degC", "Begins", "degC", 1),
    Column("ends_degC", "Ends", "degC", 1),
    Column("chemicals", "Chemicals"),
    Column("washed_by", "By"),
    Column("words", "Words"),
)
CHECK_COLUMNS = (
    Column("checked_at", "Checked", "time"),
    Column("tank", "Tank"),
    Column("thermometer", "Thermometer"),
    Column("shown_degC", "Showed", "degC", 1),
    Column("reference_degC", "Calibrated", "degC", 1),
    Column("error", "Error"),
    Column("against", "Against"),
)


def make(connection: Any, ground: Ground, *, days: int = 30) -> Report:
    """Washes of the last days, each tank's emptying, and every thermometer check of two years."""
    rounds = []
    for tank in read_milk.tanks(connection):
        state = tank_state(connection, tank, ground.now_s)
        its = tank_rounds(
            connection, tank, state.emptied_at, state.milkings, ground, emptied_entry=state.emptied_entry
        )
        rounds.append((state, its))
    washes = read_rounds.washes(connection, ground.now_s - days * 86_400, ground.now_s + 1)
    checks = [
        row
        for row in read_rounds.thermometer_checks(connection)
        if row["checked_at"] > ground.now_s - 731 * 86_400
    ]
    return Report(
        "wash",
        f"Washes and emptying, {ground.clock.shown(ground.now_s)}",
        tables=(
            Table(
                "tanks",
                "Emptying",
                TANK_COLUMNS,
                tuple(_tank_line(*one, ground) for one in rounds),
                "No tank yet.",
            ),
            Table(
                "washes",
                f"Washes of {days} days",
                WASH_COLUMNS,
                tuple(_wash_line(row, ground) for row in reversed(washes)),
                "No wash was written in these days.",
            ),
            Table(
                "checks",
                "Thermometer checks",
                CHECK_COLUMNS,
                tuple(_check_line(row, ground) for row in reversed(checks)),
                "No thermometer was checked.",
            ),
        ),
        warnings=(NEVER_MIX, *(words for _, its in rounds for words in its.warnings(ground))),
    )


def _tank_line(state: Any, its: TankRounds, ground: Ground) -> Line:
    under = entries_of(state.emptied_entry)
    late = its.oldest_s is not None and its.empty_by_s is not None and its.empty_by_s < ground.now_s
    chosen = "" if its.is_chosen else ", not chosen by the farm"
    washed = its.washed
    return Line(
        state.tank.name,
        {
            "tank": Figure(state.tank.name, entries=entries_of(state.tank.entry)),
            "emptied_at": Figure(state.emptied_at, "time", entries=under),
            "since_emptied_h": Figure(
                None if state.emptied_at is None else (ground.now_s - state.emptied_at) / 3600,
                "h",
                "hours since the tank was last emptied",
                entries=under,
            ),
            "empty_by": Figure(
                its.empty_by_s,
                "time",
                f"{its.rule.title}, {its.rule.source}{chosen}",
                {"hours": str(its.rule.within_h), "counted from": its.rule.clock},
                entries=entries_of(*its.under),
                flag="!!" if late else "",
                says="late" if late else "",
            ),
            "limit": Figure(f"{its.rule.within_h} h from {its.rule.clock}{chosen}", rule=its.rule.source),
            "washed_at": Figure(
                None if washed is None else washed["washed_at"],
                "time",
                entries=entries_of(None if washed is None else washed["entry"]),
                flag="!" if its.wash_due else "",
                says="not since emptied" if its.wash_due else "",
            ),
        },
    )


def _wash_line(row: Any, ground: Ground) -> Line:
    under = entries_of(row["entry"])
    what = row["what"] if row["tank"] is None else ground.name_of("tank", row["tank"])
    words = {
        key: Figure(row[key] or None, entries=under) for key in ("steps", "chemicals", "washed_by", "words")
    }
    return Line(
        f"{ground.clock.shown(row['washed_at'])} {what}",
        {
            "washed_at": Figure(row["washed_at"], "time", entries=under),
            "what": Figure(what, entries=under),
            "begins_degC": Figure(_degrees(row["begins_mC"]), "degC", entries=under),
            "ends_degC": Figure(_degrees(row["ends_mC"]), "degC", entries=under),
            **words,
        },
    )


def _degrees(milli: int | None) -> float | None:
    return None if milli is None else milli / 1000


def _check_line(row: Any, ground: Ground) -> Line:
    under = entries_of(row["entry"])
    return Line(
        f"{ground.clock.shown(row['checked_at'])} {row['thermometer']}",
        {
            "checked_at": Figure(row["checked_at"], "time", entries=under),
            "tank": Figure(ground.name_of("tank", row["tank"]), entries=under),
            "thermometer": Figure(row["thermometer"], entries=under),
            "shown_degC": Figure(row["shown_mC"] / 1000, "degC", entries=under),
            "reference_degC": Figure(row["reference_mC"] / 1000, "degC", entries=under),
            "error": Figure(
                error_words(row["shown_mC"], row["reference_mC"], ground),
                rule="what it showed less what the calibrated one showed",
                entries=under,
            ),
            "against": Figure(row["reference"] or None, entries=under),
        },
    )

"""Milk held back: cows whose milk stays out and until when, tanks that are blocked, results and milk poured away."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from herdbook.book.reading import held as read_held
from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.held import TreatmentRow
from herdbook.chores.ground import Ground
from herdbook.chores.held_back import CALL_THE_BUYER, NEVER_OURS, block_words, held_words
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of

OVER_DAYS = 30
"""How long what is over stays in view: common practice, no source."""
UNTIL_RULE = "the last dose plus the hours stated, elapsed hours; a milking begun before the end stays out"

HELD_COLUMNS = (
    Column("cow", "Cow"),
    Column("drug", "Given"),
    Column("milk_until", "Milk stays out until", "time"),
    Column("left_h", "Still", "h", 1),
    Column("meat_until", "Meat until", "time"),
    Column("stated", "Stated"),
    Column("last_given_at", "Last given", "time"),
    Column("ordered_by", "Ordered by"),
)
BLOCKED_COLUMNS = (
    Column("tank", "Tank"),
    Column("cow", "Cow"),
    Column("went_at", "Went in", "time"),
    Column("milk_kg", "About", "kg"),
    Column("words", "How"),
)
FREED_COLUMNS = (
    Column("at", "At", "time"),
    Column("tank", "Tank"),
    Column("what", "What"),
    Column("milk_kg", "Milk", "kg"),
    Column("by", "By"),
    Column("words", "Words"),
)
OVER_COLUMNS = (
    Column("cow", "Cow"),
    Column("drug", "Given"),
    Column("milk_until", "Stated end", "time"),
    Column("back_at", "Milk back", "time"),
    Column("state", "State"),
)


@dataclass(frozen=True, slots=True)
class HeldNow:
    """What a screen draws: treatments that run, and per tank why it is blocked."""

    running: tuple[TreatmentRow, ...]
    words: str
    blocked: dict[int, str]

    def says(self, tank: int | None = None) -> list[str]:
        """Sentences for a milking, a pickup or a tank, the block first."""
        said = [f"{why} {CALL_THE_BUYER}" for one, why in self.blocked.items() if tank in (None, one)]
        return said + ([f"Milk stays out: {self.words}."] if self.words else [])


def held_now(connection: Any, ground: Ground) -> HeldNow:
    """What is held back at the ground's instant."""
    blocked = {
        one.tank: words
        for one in read_milk.tanks(connection)
        if (words := block_words(connection, ground, one.tank, ground.now_s))
    }
    running = read_held.running(connection, ground.now_s)
    return HeldNow(tuple(running), held_words(running, ground), blocked)


def make(connection: Any, ground: Ground) -> Report:
    """What is held back at the ground's instant."""
    now = held_now(connection, ground)
    blocking = [
        row
        for tank in read_milk.tanks(connection)
        for row in read_held.blocking(connection, tank.tank, ground.now_s)
    ]
    since_s = ground.now_s - OVER_DAYS * 86_400
    over = [
        one
        for one in read_held.treatments(connection)
        if not one.runs(ground.now_s) and one.milk_until_s >= since_s and one.doses[0] <= ground.now_s
    ]
    return Report(
        "held",
        f"Milk held back, {ground.clock.shown(ground.now_s)}",
        facts={
            "cows": Figure(
                len({one.cow for one in now.running}),
                rule="cows whose stated hours run",
                entries=entries_of(*(n for one in now.running for n in one.entries)),
                flag="!" if now.running else "",
                says="keep out" if now.running else "",
            ),
            "tanks_blocked": Figure(
                len(now.blocked),
                rule="tanks into which held milk went, neither tested clear since nor poured away",
                entries=entries_of(*(row["entry"] for row in blocking)),
                flag="!!" if now.blocked else "",
                says="call the buyer" if now.blocked else "",
            ),
        },
        columns={
            "cows": Column("cows", "Cows held back"),
            "tanks_blocked": Column("tanks_blocked", "Tanks blocked"),
        },
        tables=(
            Table(
                "held",
                "Milk that stays out",
                HELD_COLUMNS,
                tuple(_held_line(one, ground) for one in reversed(now.running)),
                "No cow's milk is held back.",
            ),
            Table(
                "blocked",
                "Tanks blocked",
                BLOCKED_COLUMNS,
                tuple(_blocked_line(row, ground) for row in blocking),
                "No tank is blocked.",
            ),
            Table(
                "results",
                "Results and milk poured away",
                FREED_COLUMNS,
                tuple(_freed_lines(connection, ground, since_s)),
                f"None in {OVER_DAYS} days.",
            ),
            Table(
                "over",
                "Over",
                OVER_COLUMNS,
                tuple(_over_line(one, ground) for one in reversed(over)),
                f"None in {OVER_DAYS} days.",
            ),
        ),
        warnings=(*now.says(), NEVER_OURS),
        data=now,
    )


def _held_line(one: TreatmentRow, ground: Ground) -> Line:
    card, under = one.card, entries_of(*one.entries)
    inputs = {
        "last given": ground.clock.shown(card["last_given_at"]),
        "hours stated": f"{card['milk_h']} h milk, {card['meat_h']} h meat, by the {card['hours_from']}",
        "in its own words": card["label_words"] or "not written",
    }
    return Line(
        f"{one.cow} {card['drug']}",
        {
            "cow": Figure(one.cow, entries=under),
            "drug": Figure(card["drug"], entries=under),
            "milk_until": Figure(
                one.milk_until_s, "time", UNTIL_RULE, inputs, entries=under, flag="!", says="keep out"
            ),
            "left_h": Figure(
                (one.milk_until_s - ground.now_s) / 3600, "h", UNTIL_RULE, inputs, entries=under
            ),
            "meat_until": Figure(one.meat_until_s, "time", UNTIL_RULE, inputs, entries=under),
            "stated": Figure(f"{card['milk_h']} h, {card['hours_from']}", entries=under),
            "last_given_at": Figure(card["last_given_at"], "time", entries=under),
            "ordered_by": Figure(card["ordered_by"] or None, entries=under),
        },
    )


def _blocked_line(row: Any, ground: Ground) -> Line:
    under = entries_of(row["entry"])
    return Line(
        f"{ground.name_of('tank', row['tank'])} {row['cow']}",
        {
            "tank": Figure(
                ground.name_of("tank", row["tank"]), entries=under, flag="!!", says="call the buyer"
            ),
            "cow": Figure(row["cow"], entries=under),
            "went_at": Figure(row["went_at"], "time", entries=under),
            "milk_kg": Figure(None if row["milk_g"] is None else row["milk_g"] / 1000, "kg", entries=under),
            "words": Figure(row["words"] or None, entries=under),
        },
    )


def _freed_lines(connection: Any, ground: Ground, since_s: int) -> Sequence[Line]:
    found = []
    for row in read_held.milk_tests(connection):
        what = f"sample {row['result']}" + (f", {row['number']}" if row["number"] else "")
        found.append((row["sampled_at"], row, what, None, row["told_by"], row["words"]))
    for row in read_held.dumps(connection):
        what = "poured away" + ("" if row["emptied"] else ", not all")
        found.append((row["dumped_at"], row, what, row["milk_g"] / 1000, "", row["reason"]))
    lines = []
    for at_s, row, what, milk_kg, by, words in sorted(found, key=lambda one: one[0], reverse=True):
        if at_s < since_s:
            continue
        under = entries_of(row["entry"])
        lines.append(
            Line(
                f"{ground.clock.shown(at_s)} {ground.name_of('tank', row['tank'])}",
                {
                    "at": Figure(at_s, "time", entries=under),
                    "tank": Figure(ground.name_of("tank", row["tank"]), entries=under),
                    "what": Figure(what, entries=under),
                    "milk_kg": Figure(milk_kg, "kg", entries=under),
                    "by": Figure(by or None, entries=under),
                    "words": Figure(words or None, entries=under),
                },
            )
        )
    return lines


def _over_line(one: TreatmentRow, ground: Ground) -> Line:
    under, over = entries_of(*one.entries), one.over
    early = over is not None and over["back_at"] < one.milk_until_s
    state = "ended early" if early else "over" if over is not None else "over, write milk-back"
    if early and over is not None:
        state += f": {over['reason']}"
    return Line(
        f"{one.cow} {one.card['drug']}",
        {
            "cow": Figure(one.cow, entries=under),
            "drug": Figure(one.card["drug"], entries=under),
            "milk_until": Figure(one.milk_until_s, "time", UNTIL_RULE, entries=under),
            "back_at": Figure(None if over is None else over["back_at"], "time", entries=under),
            "state": Figure(state, entries=under, flag="!" if early else "", says="early" if early else ""),
        },
    )

"""Rules of the book on tanks, milkings, temperatures and pickups."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from itertools import pairwise

from herdbook.book.checks import Finding
from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.milk import MilkingRow, TankRow
from herdbook.book.reading.rows import stands
from herdbook.book.rules.looking import Look, found, rule

EVER = (0, 2**62)
LONGEST_MILKING_S = 24 * 3600
COLDEST_MC, WARMEST_MC = -5_000, 60_000
"""Milk freezes near -0.5 °C and leaves the cow below 40: a reading further out is of something else."""


@rule
def no_tank_holds_more_than_it_can(look: Look) -> Iterator[Finding]:
    """Milk let in since a tank was last empty, less what was taken, fits it; told once for each filling."""
    for tank in read_milk.tanks(look.connection):
        held_g, told = 0, False
        for at_s, change_g, emptied, entry in _flow(look, tank):
            held_g = 0 if emptied else max(0, held_g + change_g)
            told = told and not emptied
            if held_g > tank.capacity_g and not told:
                told = True
                says = f"holds {look.mass(held_g)} on paper, {look.mass(tank.capacity_g)} at most."
                yield found(look.name("tank", tank.tank), says, (entry,), look.day(at_s))


def _flow(look: Look, tank: TankRow) -> list[tuple[int, int, bool, int]]:
    """Instant, grams in (or out), whether it was emptied, entry; in order of time, milk out before milk in."""
    milked = [
        (row.ended_at, row.milk_g, False, row.end_entry or row.entry)
        for row in read_milk.milkings(look.connection, tank.tank, *EVER)
        if row.ended_at is not None and row.milk_g is not None
    ]
    picked = [
        (row["picked_at"], -row["milk_g"], bool(row["emptied"]), row["entry"])
        for row in read_milk.taken_out(look.connection, tank.tank, *EVER)
    ]
    return sorted(milked + picked)


@rule
def a_milking_ends_after_it_starts(look: Look) -> Iterator[Finding]:
    """A milking ends after it starts, and within a day."""
    for milking in _milkings(look):
        if milking.ended_at is None:
            continue
        began, ended = look.at(milking.started_at), look.at(milking.ended_at)
        if milking.ended_at <= milking.started_at:
            yield _of_milking(look, milking, f"ended at {ended}, not after it began at {began}.")
        elif milking.ended_at - milking.started_at > LONGEST_MILKING_S:
            yield _of_milking(look, milking, f"began at {began} and ended at {ended}, more than a day later.")


@rule
def milkings_follow_each_other(look: Look) -> Iterator[Finding]:
    """Two milkings into one tank do not overlap, and none is left without its end."""
    for tank in read_milk.tanks(look.connection):
        its = read_milk.milkings(look.connection, tank.tank, *EVER)
        for earlier, later in pairwise(its):
            if earlier.ended_at is None:
                says = (
                    f"began at {look.at(earlier.started_at)} and has no end, though another began after it."
                )
                yield _of_milking(look, earlier, says)
            elif later.started_at < earlier.ended_at:
                ended = look.at(earlier.ended_at)
                says = f"began at {look.at(later.started_at)}, before the one before it ended at {ended}."
                yield _of_milking(look, later, says, earlier.entry)
        if its and its[-1].ended_at is None and look.now_s - its[-1].started_at > LONGEST_MILKING_S:
            says = f"began at {look.at(its[-1].started_at)} and has no end, more than a day later."
            yield _of_milking(look, its[-1], says)


def _milkings(look: Look) -> Iterator[MilkingRow]:
    for tank in read_milk.tanks(look.connection):
        yield from read_milk.milkings(look.connection, tank.tank, *EVER)


def _of_milking(look: Look, milking: MilkingRow, says: str, *others: int) -> Finding:
    end = milking.end_entry
    ends = () if end is None or end == milking.entry else (end,)
    entries = (milking.entry, *ends, *others)
    return found(
        f"milking into {look.name('tank', milking.tank)}", says, entries, look.day(milking.started_at)
    )


@rule
def temperatures_are_of_milk(look: Look) -> Iterator[Finding]:
    """Every reading lies between -5 and 60 °C."""
    for table, instant in (("temperature", "read_at"), ("pickup_ticket", "picked_at")):
        for row in look.rows(
            f"SELECT {table}.tank, {table}.tank_mC AS mc, {instant} AS instant, {table}.entry "
            f"FROM {table} {stands(table)} "
            f"WHERE {table}.tank_mC NOT BETWEEN ? AND ?",
            COLDEST_MC,
            WARMEST_MC,
        ):
            says = f"read {look.farm.units.temperature(row['mc'])} at {look.at(row['instant'])}, which no milk has."
            yield found(look.name("tank", row["tank"]), says, (row["entry"],), look.day(row["instant"]))


@rule
def a_pickup_fits_its_tank(look: Look) -> Iterator[Finding]:
    """No pickup weighs more than the tank can hold."""
    tanks = {tank.tank: tank for tank in read_milk.tanks(look.connection)}
    for row in read_milk.pickups(look.connection, *EVER):
        tank = tanks.get(row["tank"])
        if tank is not None and row["milk_g"] > tank.capacity_g:
            says = (
                f"of {look.mass(row['milk_g'])} is heavier than the tank holds, {look.mass(tank.capacity_g)}."
            )
            yield found(_pickup(look, row), says, (row["entry"],), look.day(row["picked_at"]))


@rule
def a_ticket_is_written_once(look: Look) -> Iterator[Finding]:
    """No two pickups carry the same ticket number."""
    seen: dict[str, int] = {}
    for row in read_milk.pickups(look.connection, *EVER):
        if row["ticket"] and row["ticket"] in seen:
            says = f"has the ticket {row['ticket']}, which entry {seen[row['ticket']]} has too."
            entries = (seen[row["ticket"]], row["entry"])
            yield found(_pickup(look, row), says, entries, look.day(row["picked_at"]))
        seen.setdefault(row["ticket"], row["entry"])


def _pickup(look: Look, row: sqlite3.Row) -> str:
    return f"pickup from {look.name('tank', row['tank'])}"


@rule
def a_chart_rises(look: Look) -> Iterator[Finding]:
    """Stick and weight of a tank's chart rise together, and the chart holds no more than the tank."""
    for tank in read_milk.tanks(look.connection):
        about = look.name("tank", tank.tank)
        if any(later[1] <= earlier[1] for earlier, later in pairwise(tank.chart)):
            yield found(about, "has a chart that does not rise from mark to mark.", (tank.entry,), "")
        if tank.chart and tank.chart[-1][1] > tank.capacity_g:
            says = (
                f"has a chart up to {look.mass(tank.chart[-1][1])}, but holds {look.mass(tank.capacity_g)}."
            )
            yield found(about, says, (tank.entry,), "")

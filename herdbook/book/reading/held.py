"""Milk held back: treatments that run, held milk that went into a tank, and what has freed the tank again."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass

from herdbook.book.reading.rows import first, rows, stands

HOUR_S = 3600
TREATMENT_NAMED_S = 30 * 86_400
"""How long a treatment whose end is written can still be named: common practice, no source."""
CLEAR, NOT_CLEAR = "clear", "not clear"


@dataclass(frozen=True, slots=True)
class TreatmentRow:
    """One treatment as it stands; `card` carries what was given and the stated hours.

    Args:
        card: the newest card (a row of `treatment_card`).
        doses: UTC seconds of each time it was given, oldest first.
        over: when her milk went back and why (a row), if that was written.
        written_by: who wrote the card.
    """

    card: sqlite3.Row
    doses: tuple[int, ...]
    over: sqlite3.Row | None
    written_by: str

    @property
    def treatment(self) -> int:
        """Its number."""
        return int(self.card["treatment"])

    @property
    def cow(self) -> str:
        """The cow's number as written."""
        return str(self.card["cow"])

    @property
    def milk_until_s(self) -> int:
        """When the stated hours for milk end: elapsed hours after the last dose, whatever the clocks do."""
        return int(self.card["last_given_at"] + self.card["milk_h"] * HOUR_S)

    @property
    def meat_until_s(self) -> int:
        """When the stated hours for meat end."""
        return int(self.card["last_given_at"] + self.card["meat_h"] * HOUR_S)

    @property
    def entries(self) -> tuple[int, ...]:
        """Everything written of it."""
        return (self.card["entry"],) + (() if self.over is None else (self.over["entry"],))

    def runs(self, at_s: int) -> bool:
        """Whether her milk is held back at an instant."""
        ends_s = self.milk_until_s if self.over is None else min(self.milk_until_s, self.over["back_at"])
        return self.doses[0] <= at_s < ends_s


def treatments(connection: sqlite3.Connection) -> list[TreatmentRow]:
    """Every treatment that stands, by its last dose, oldest first."""
    cards = rows(
        connection,
        "SELECT treatment_card.*, (SELECT p.name FROM person_card p WHERE p.person = entry.person "
        "ORDER BY p.id DESC LIMIT 1) AS written_by "
        f"FROM treatment_card {stands('treatment_card')} ORDER BY last_given_at, treatment_card.id",
    )
    if not cards:
        return []
    given: dict[int, list[int]] = {}
    for dose in rows(
        connection,
        f"SELECT treatment_dose.* FROM treatment_dose {stands('treatment_dose')} ORDER BY given_at",
    ):
        given.setdefault(dose["entry"], []).append(dose["given_at"])
    over = {
        row["treatment"]: row
        for row in rows(connection, f"SELECT treatment_over.* FROM treatment_over {stands('treatment_over')}")
    }
    return [
        TreatmentRow(
            card,
            tuple(given.get(card["entry"], [card["last_given_at"]])),
            over.get(card["treatment"]),
            card["written_by"] or "",
        )
        for card in cards
    ]


def running(connection: sqlite3.Connection, at_s: int) -> list[TreatmentRow]:
    """The treatments whose milk is held back at an instant."""
    return [one for one in treatments(connection) if one.runs(at_s)]


def treatment_names(connection: sqlite3.Connection, since_s: int) -> dict[str, int]:
    """Name -> treatment: `412 the drug`, of those that run or ended since; of two alike the older has its number."""
    named: dict[str, int] = {}
    for one in treatments(connection):
        ended_s = one.milk_until_s if one.over is None else max(one.milk_until_s, one.over["back_at"])
        if ended_s < since_s and one.over is not None:
            continue
        name = f"{one.cow} {one.card['drug']}"
        if name in named:
            named[f"{name} #{named[name]}"] = named[name]
        named[name] = one.treatment
    return named


def held_milk(connection: sqlite3.Connection, tank: int | None = None) -> list[sqlite3.Row]:
    """Held milk that went into a tank, or into any, oldest first."""
    return rows(
        connection,
        f"SELECT held_milk.* FROM held_milk {stands('held_milk')} WHERE ? IS NULL OR tank = ? "
        "ORDER BY went_at, held_milk.id",
        tank,
        tank,
    )


def milk_tests(connection: sqlite3.Connection, tank: int | None = None) -> list[sqlite3.Row]:
    """Results on a tank's milk, by when the sample was taken."""
    return rows(
        connection,
        f"SELECT milk_test.* FROM milk_test {stands('milk_test')} WHERE ? IS NULL OR tank = ? "
        "ORDER BY sampled_at, milk_test.id",
        tank,
        tank,
    )


def dumps(connection: sqlite3.Connection, tank: int | None = None) -> list[sqlite3.Row]:
    """Milk poured away, oldest first."""
    return rows(
        connection,
        f"SELECT milk_dump.* FROM milk_dump {stands('milk_dump')} WHERE ? IS NULL OR tank = ? "
        "ORDER BY dumped_at, milk_dump.id",
        tank,
        tank,
    )


def blocking(
    connection: sqlite3.Connection,
    tank: int,
    at_s: int,
    *,
    result: tuple[int, str] | None = None,
    poured_s: int | None = None,
) -> list[sqlite3.Row]:
    """The held milk that blocks a tank at an instant: what went in by then and nothing has freed the tank of.

    A tank is freed by pouring all of it away before that instant, or by the newest sample taken since the milk went
    in being clear; a result may come in later than the instant, the milk it speaks of is the same.

    Args:
        connection: the book.
        tank: which tank.
        at_s: UTC seconds.
        result: a result that is being written: when its sample was taken, and what it says.
        poured_s: when the tank was emptied by pouring away that is being written.
    """
    went_in = [row for row in held_milk(connection, tank) if row["went_at"] <= at_s]
    if not went_in:
        return []
    poured = [row["dumped_at"] for row in dumps(connection, tank) if row["emptied"]]
    poured += [] if poured_s is None else [poured_s]
    results = [(row["sampled_at"], str(row["result"])) for row in milk_tests(connection, tank)]
    results = sorted(results + ([] if result is None else [result]), key=lambda one: one[0])
    before = [one for one in poured if one <= at_s]
    return [row for row in went_in if not _freed(row["went_at"], before, results)]


def _freed(went_at: int, poured: Sequence[int], results: Sequence[tuple[int, str]]) -> bool:
    if any(at_s >= went_at for at_s in poured):
        return True
    since = [says for sampled_at, says in results if sampled_at >= went_at]
    return bool(since) and since[-1] == CLEAR


def written_pickup(connection: sqlite3.Connection, entry: int) -> sqlite3.Row | None:
    """The pickup an entry wrote, whether it stands or not."""
    return first(connection, "SELECT * FROM pickup_ticket WHERE entry = ?", entry)

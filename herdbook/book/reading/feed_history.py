"""What was found in a feed over time, and how near its loadings came to their plan."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from dataclasses import dataclass, field

from herdbook.book.reading.rows import rows, stands

MILLION = 1_000_000


@dataclass(frozen=True, slots=True)
class AnalysisCard:
    """One analysis as it stands, with its values and methods by nutrient; what was not determined is none."""

    analysis: int
    feed: int
    sampled_on: str
    reported_on: str
    dry_ppm: int
    basis: str
    laboratory: str
    number: str
    entry: int
    values: Mapping[str, float | None] = field(default_factory=dict)
    methods: Mapping[str, str] = field(default_factory=dict)


def analyses_up_to(
    connection: sqlite3.Connection, day: str, *, feed: int | None = None, most: int = 1_000_000
) -> list[AnalysisCard]:
    """The newest analyses sampled up to a day, newest first; of one feed, or of all by feed."""
    found = rows(
        connection,
        "SELECT * FROM (SELECT analysis.*, row_number() OVER (PARTITION BY feed ORDER BY sampled_on DESC, "
        f"analysis.id DESC) AS place FROM analysis {stands('analysis')} "
        "WHERE sampled_on <= ? AND feed = ifnull(?, feed)) WHERE place <= ? ORDER BY feed, place",
        day,
        feed,
        most,
    )
    values: dict[int, dict[str, float | None]] = {row["id"]: {} for row in found}
    methods: dict[int, dict[str, str]] = {row["id"]: {} for row in found}
    wanted = list(values)
    for start in range(0, len(wanted), 500):
        some = wanted[start : start + 500]
        marks = ",".join("?" * len(some))
        sql = f"SELECT * FROM analysis_value WHERE analysis IN ({marks}) ORDER BY id"
        for row in rows(connection, sql, *some):
            kept = row["millionths"]
            values[row["analysis"]][row["nutrient"]] = None if kept is None else kept / MILLION
            if row["method"]:
                methods[row["analysis"]][row["nutrient"]] = row["method"]
    return [
        AnalysisCard(
            row["id"], row["feed"], row["sampled_on"], row["reported_on"] or "", row["dry_ppm"], row["basis"],
            row["laboratory"], row["number"], row["entry"], values[row["id"]], methods[row["id"]],
        )
        for row in found
    ]  # fmt: skip


def dry_tests_up_to(connection: sqlite3.Connection, instant_s: int, *, most: int) -> list[sqlite3.Row]:
    """Every feed's newest dry-matter tests up to an instant (`feed`, `dry_ppm`, `tested_at`, `entry`), newest first."""
    return rows(
        connection,
        "SELECT * FROM (SELECT dry_test.*, row_number() OVER (PARTITION BY feed ORDER BY tested_at DESC, "
        f"dry_test.id DESC) AS place FROM dry_test {stands('dry_test')} WHERE tested_at <= ?) "
        "WHERE place <= ? ORDER BY feed, place",
        instant_s,
        most,
    )


def loadings(connection: sqlite3.Connection, from_day: str, to_day: str) -> list[sqlite3.Row]:
    """Each feed of each load of a span as planned and as weighed in (`feed`, `load`, `planned_g`, `loaded_g`, `entry`).

    Feeds that were planned and never weighed in are left out.
    """
    return rows(
        connection,
        f"WITH plan AS (SELECT load_plan.load FROM load_plan {stands('load_plan')} "
        "WHERE load_plan.farm_day BETWEEN ? AND ?), "
        f"meant AS (SELECT load, feed, sum(planned_g) AS planned_g FROM load_plan_line {stands('load_plan_line')} "
        "WHERE load IN (SELECT load FROM plan) GROUP BY load, feed), "
        f"went AS (SELECT load, feed, sum(loaded_g) AS loaded_g, max(load_weight.entry) AS entry FROM load_weight "
        f"{stands('load_weight')} WHERE load IN (SELECT load FROM plan) GROUP BY load, feed) "
        "SELECT went.feed, went.load, planned_g, loaded_g, went.entry FROM went JOIN meant USING (load, feed) "
        "WHERE planned_g > 0 ORDER BY went.feed, went.load",
        from_day,
        to_day,
    )

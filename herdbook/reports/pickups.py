"""Milk handed over: weight, stick, temperature and ticket of each pickup."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import milk as read_milk
from herdbook.chores.ground import Ground
from herdbook.errors import Refused
from herdbook.reports.figures import Column, Figure, Line, Report, Table, entries_of, in_kg, total
from herdbook.science.stick_chart import StickChart

COLUMNS = (
    Column("picked_at", "Picked up", "time"),
    Column("tank", "Tank"),
    Column("milk_kg", "Milk", "kg"),
    Column("stick_mm", "Stick", "mm", 1),
    Column("chart_gap_percent", "Against chart", "%", 2),
    Column("tank_degC", "Temperature", "degC", 1),
    Column("ticket", "Ticket"),
    Column("hauler", "Hauler"),
)


def make(connection: Any, ground: Ground, *, of: date | None = None, days: int = 30) -> Report:
    """The pickups of a span of farm days, newest first."""
    last = of or ground.clock.farm_day(ground.now_s)
    first = last - timedelta(days=days - 1)
    start, end = ground.clock.day_starts(first), ground.clock.day_starts(last + timedelta(days=1))
    tanks = {tank.tank: tank for tank in read_milk.tanks(connection)}
    charts = {tank.tank: StickChart.of(tank.chart) for tank in tanks.values() if len(tank.chart) > 1}
    lines = [_line(row, tanks, charts, ground) for row in reversed(read_milk.pickups(connection, start, end))]
    shipped = total([line["milk_kg"] for line in lines], "kg", "sum of the pickups")
    return Report(
        "pickups",
        f"Pickups, {first.isoformat()} to {last.isoformat()}",
        facts={
            "shipped_kg": shipped,
            "pickups": Figure(len(lines), rule="pickups counted", entries=shipped.entries),
        },
        columns={
            "shipped_kg": Column("shipped_kg", "Shipped", "kg"),
            "pickups": Column("pickups", "Pickups"),
        },
        tables=(Table("pickups", "Pickups", COLUMNS, tuple(lines), "No milk was picked up in these days."),),
    )


def _line(
    row: Any, tanks: Mapping[int, read_milk.TankRow], charts: Mapping[int, StickChart], ground: Ground
) -> Line:
    under = entries_of(row["entry"])
    tank = tanks.get(row["tank"])
    by_chart = _by_chart(row, charts.get(row["tank"]))
    gap = None if not by_chart else 100 * (row["milk_g"] - by_chart) / by_chart
    inputs = {} if by_chart is None else {"by the chart": in_kg(by_chart / 1000)}
    return Line(
        f"{ground.clock.shown(row['picked_at'])} {row['ticket']}".strip(),
        {
            "picked_at": Figure(row["picked_at"], "time", entries=under),
            "tank": Figure(tank.name if tank else None, entries=under),
            "milk_kg": Figure(row["milk_g"] / 1000, "kg", entries=under),
            "stick_mm": Figure(
                None if row["stick_um"] is None else row["stick_um"] / 1000, "mm", entries=under
            ),
            "chart_gap_percent": Figure(
                gap,
                "%",
                "weight written less weight by the stick chart, over the latter",
                inputs,
                entries=entries_of(row["entry"], tank.entry if tank and by_chart else None),
            ),
            "tank_degC": Figure(
                None if row["tank_mC"] is None else row["tank_mC"] / 1000, "degC", entries=under
            ),
            "ticket": Figure(row["ticket"] or None, entries=under),
            "hauler": Figure(row["hauler"] or None, entries=under),
        },
    )


def _by_chart(row: Any, chart: StickChart | None) -> float | None:
    """The weight by the chart; none where there is no stick reading, or the chart of today does not reach it."""
    if row["stick_um"] is None or chart is None:
        return None
    try:
        return float(chart.amount(row["stick_um"]))
    except Refused:
        return None

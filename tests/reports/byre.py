"""A small farm in kilograms for the reports' tests: round numbers, days written by typed words, reports read back."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from herdbook.book.opening import reading
from herdbook.clock import FarmClock, parse_moment
from herdbook.reports.catalogue import ground_for_reading, make
from herdbook.reports.figures import Figure, Report
from tests.yard import Yard

CLOCK = FarmClock("America/Chicago")


def at(yard: Yard, when: str, clock: FarmClock = CLOCK) -> Yard:
    """Put the yard's clock to a local time such as `2026-03-02 05:30`."""
    yard.now_s = parse_moment(when, clock=clock, now_s=yard.now_s)
    return yard


def show(yard: Yard, name: str, /, **texts: str) -> Report:
    """Make a report as typed, at the yard's instant."""
    with reading(yard.path) as connection:
        return make(name, connection, ground_for_reading(connection, yard.now_s), texts)


def cell(report: Report, table: str, row: str, column: str) -> Figure:
    """One figure of a report by its exact address."""
    (found,) = [line for line in report.table(table).lines if line.name == row]
    return found.cells[column]


def started(path: Path, **changes: str) -> Yard:
    """A farm with two milking pens, heifers, two priced feeds, one ration and one tank.

    Silage is 40 % dry matter at 50 a tonne, grain 80 % at 200 a tonne. The ration is 30 kg and 5 kg as fed:
    12 + 4 = 16 kg of dry matter.
    """
    yard = Yard.started(path, at_s=CLOCK.instant(_day("2026-02-23"), 4, 0), **{"system": "metric"} | changes)
    for pen, kind, head in (("High", "milking", 100), ("Low", "milking", 50), ("Young", "heifers", 20)):
        yard.do("pen", name=pen, kind=kind, head=str(head))
    yard.do("feed", name="Silage", kind="forage", price="50")
    yard.do("feed", name="Grain", kind="grain", price="200")
    yard.do("analysis", feed="Silage", dry="40", value=["cp=8", "ndf=45"])
    yard.do("analysis", feed="Grain", dry="80", value=["cp=20", "ndf=10"])
    yard.do("ration", name="Milk", item=["Silage=30", "Grain=5"])
    for pen in ("High", "Low"):
        yard.do("pen-ration", pen=pen, ration="Milk")
    yard.do("mixer", name="Wagon", holds="9000", step="1")
    yard.do("tank", name="Tank", holds="12000")
    return yard


def _day(text: str) -> Any:
    from datetime import date

    return date.fromisoformat(text)


def mix(yard: Yard, when: str, *pens: str, silage: float, grain: float) -> str:
    """Begin and weigh in a load of two feeds; its number of the day comes back."""
    at(yard, when)
    loaded = [f"Silage={silage:g}", f"Grain={grain:g}"]
    yard.do("load", pen=list(pens), planned=loaded, loaded=loaded)
    return str(yard.row("SELECT number FROM load_plan ORDER BY id DESC LIMIT 1")["number"])


def feed(yard: Yard, when: str, pen: str, *, silage: float, grain: float) -> None:
    """A load for one pen, dropped whole."""
    number = mix(yard, when, pen, silage=silage, grain=grain)
    yard.do("drop", load=number, pen=pen, weight=f"{silage + grain:g}")


def milk(yard: Yard, start: str, end: str, **texts: str) -> None:
    """A milking written when it ended."""
    at(yard, end)
    yard.do("milking", started=start, ended=end, **texts)

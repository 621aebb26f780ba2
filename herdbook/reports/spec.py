"""What a report is called, what it tells, where it is made, and what it may be asked with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from herdbook.chores.asking import Ask, Count, Name
from herdbook.chores.moments import Day


@dataclass(frozen=True, slots=True)
class Spec:
    """A report: its name, what it tells, where it is made, and its options.

    Args:
        name: as `herdbook show` calls it.
        title: one line for lists and the manual.
        module: module of this package; its function `make(connection, ground, **options)` returns the report.
        options: option -> what is asked.
        position: the option a bare word after the name fills; empty for none.
        needed: options that must be given.
    """

    name: str
    title: str
    module: str
    options: Mapping[str, Ask] = field(default_factory=dict)
    position: str = ""
    needed: tuple[str, ...] = ()


OF = Day(label="of", help="a day in it; today if not given")
DAYS = Count(label="days", help="how many days back", least=1, most=4_000)
ON = Day(label="on", help="as it stands on that day", ahead_days=120)
RATION = Name(label="ration", help="which ration", thing="ration")
TANK = Name(label="tank", help="which tank", thing="tank")
PEN = Name(label="pen", help="only this pen", thing="pen")
ONE_FEED = Name(label="feed", help="only this feed", thing="feed")
"""Options that several reports have."""

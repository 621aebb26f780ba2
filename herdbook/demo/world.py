"""Everything the made-up farm's people and cows share: the calendar, chance, the tank, the bunkers and the scribe."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

from herdbook.clock import FarmClock
from herdbook.demo.clockwork import Clockwork
from herdbook.demo.cows import Herd
from herdbook.demo.feeds_made_up import Bunkers
from herdbook.demo.scribe import Scribe
from herdbook.demo.tank_made_up import MadeUpTank

OWNER, NUTRITIONIST, FEEDER, MILKER = "Hester", "Anselm", "Milo", "Juna"
"""First names, all invented."""


@dataclass(slots=True)
class Offered:
    """What one pen got of a load: pounds as fed, and the dry matter that truly was in them."""

    as_fed_lb: float
    dry_lb: float


@dataclass(slots=True)
class World:
    """The farm as it is.

    Args:
        seed: what chance starts from.
        clock: the farm's zone and day.
        today: the last day of the book.
        scribe: how things are written.
        begins_s: the instant the farm's story begins.
        clockwork: who does what when.
        versions: versions of the high cows' ration written so far.
        shipped_lb: milk picked up by farm day, as the ticket has it.
        offered: what every pen got on the last days.
    """

    seed: int
    clock: FarmClock
    today: date
    scribe: Scribe
    begins_s: int
    clockwork: Clockwork = field(default_factory=Clockwork)
    versions: int = 1
    shipped_lb: dict[date, int] = field(default_factory=dict)
    offered: dict[date, dict[str, list[Offered]]] = field(default_factory=dict)
    herd: Herd = field(init=False)
    bunkers: Bunkers = field(init=False)
    tank: MadeUpTank = field(init=False)

    def __post_init__(self) -> None:
        self.herd = Herd(self.dice, self.today)
        self.bunkers = Bunkers(self.dice, self.today)
        self.tank = MadeUpTank(self.begins_s)  # empty until the first milking

    def dice(self, day: date, what: str) -> Random:
        """Chance of a day and a subject, the same whenever it is asked: one round's luck never moves another's."""
        return Random(f"{self.seed} {day.isoformat()} {what}")

    def days_ago(self, day: date) -> int:
        """Days from a day to the last one."""
        return (self.today - day).days

    def at(self, day: date, hour: int, minute: int, *, after_min: int = 0) -> int:
        """The instant (UTC seconds) of a wall-clock time, or some minutes after it."""
        return self.clock.instant(day, hour, minute) + 60 * after_min

    def offer(self, day: date, pen: str, offered: Offered) -> None:
        """Put feed before a pen."""
        self.offered.setdefault(day, {}).setdefault(pen, []).append(offered)
        self.offered.pop(day - timedelta(days=2), None)

"""What a forecast of a tank says: which limits were asked for, when each is expected, and when late is called."""

from __future__ import annotations

import math
from dataclasses import dataclass

from herdbook.science.cooling_curve import Estimate

LIKELY = 0.5
"""With all milk in, a chance of being late above it is a warning: late is likelier than not."""
SURE = 0.95
"""While milk flows, hours are left and readings are rough: a warning waits until late is nearly sure. Our judgement."""
ALARM = 0.99
"""A chance of being late above it wakes people, however much time is left (`scripts/simulate_tank.py`)."""
ALARM_SOON = 0.9
"""Above this chance people are woken in the last hour, when waiting for surer readings costs the milk."""
SOON_S = 3600


@dataclass(frozen=True, slots=True)
class Wanted:
    """A limit to forecast.

    Attributes:
        limit_mC: thousandths of a degree C.
        deadline_s: UTC seconds by when; None where that is not known, or there is none.
        after_end_s: seconds after the end of milking, where a deadline counts from an end that lies ahead; the sooner
            of the two holds where both are given.
    """

    limit_mC: int
    deadline_s: int | None = None
    after_end_s: int | None = None


@dataclass(frozen=True, slots=True)
class LimitForecast(Estimate):
    """When one limit is expected to be reached: as likely sooner as later, with its range.

    Attributes:
        limit_mC: the limit.
        deadline_s: by when.
        low_s: reached before it with a chance of 10 %; None where no range can be said.
        high_s: reached by then with 90 %; None also where later than any milk stays.
        chance_late: of missing the deadline, 0 to 1; None without a deadline, or where nothing can be said.
        rests_on: readings used and past milkings, in words.
        flows: milk still comes in.
        by_heat: from the heat balance of the milk; else by the readings alone.
        said_s: when it was said, UTC seconds; None where that does not matter.
        stands_still: the readings have stood still, and nothing surer will come of waiting.
    """

    limit_mC: int = 0
    deadline_s: int | None = None
    low_s: int | None = None
    high_s: int | None = None
    chance_late: float | None = None
    rests_on: str = ""
    flows: bool = False
    by_heat: bool = False
    said_s: int | None = None
    stands_still: bool = False

    def is_late(self, deadline_s: int | None) -> bool:
        """Whether late is likelier than not, and nearly sure while milk flows.

        Where no chance can be said it is as the estimate alone says it.
        """
        if self.chance_late is not None:
            return self.chance_late > (SURE if self.flows else LIKELY)
        return Estimate.is_late(self, deadline_s)

    def is_alarm(self, deadline_s: int | None) -> bool:
        """Whether people are to be woken: late is all but sure, or likely with an hour or less to go.

        Early in a milking's cooling late is often likelier than not and then is not: a warning may say so, people are
        not woken for it. Readings that stand still are an alarm as soon as they are a warning.

        Args:
            deadline_s: UTC seconds; None where it is not known yet.
        """
        if self.chance_late is None or self.stands_still:
            return self.is_late(deadline_s)
        left_s = math.inf if self.flows or deadline_s is None else deadline_s - (self.said_s or 0)
        return self.chance_late > (ALARM_SOON if left_s <= SOON_S else ALARM)


@dataclass(frozen=True, slots=True)
class TankForecast:
    """The forecast of one milking.

    Attributes:
        limits: one for each limit wanted, in their order.
        heat_kW: heat taken out of the milk at its temperature now; None where milk was not metered.
        usual_heat_kW: what this tank's cooler usually takes out at that temperature.
        used: readings used.
        prior_milkings: past milkings it rests on.
        doubt: why the thermometer should not be believed as it is; empty where there is no reason.
        cause: `LESS_HEAT` or `WARM_MILK`, when likely.
        why: why nothing is said; empty where something is.
    """

    limits: tuple[LimitForecast, ...]
    heat_kW: float | None = None
    usual_heat_kW: float | None = None
    used: int = 0
    prior_milkings: int = 0
    doubt: str = ""
    cause: str = ""
    why: str = ""

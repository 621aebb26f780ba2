"""How the milk of a tank warms and cools: closed steps of its heat balance, while it fills and afterwards.

The cooler takes out ``power * (1 + bend * (T - 10))``: with no bend a constant power, and the more it bends the more
it is Newton's law towards the coolant ``10 - 1 / bend``. Both are one family, so readings may choose between them.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from herdbook.science.milk_heat import SPECIFIC_HEAT

MIDDLE_degC = 10.0
"""Where `power` is said: the warmest limit of the common cooling rules, so power means what is left at the end."""
NEVER_H = 48.0
"""No milk stays longer on a farm; a time beyond it is called never."""
HEAT_kWh = SPECIFIC_HEAT / 3600
"""Heat of a kilogram of milk for each degree, in kWh."""
_FLAT = 1e-6


class Pour(NamedTuple):
    """Milk that comes into a tank: what was there, what comes, for how long, and from when it is cooled.

    Attributes:
        held_kg: milk in the tank before.
        added_kg: milk let in, at an even pace.
        hours: how long it flows.
        covered_h: hours from the start of milking until the cooler works.
    """

    held_kg: float
    added_kg: float
    hours: float
    covered_h: float

    @property
    def full_kg(self) -> float:
        """Milk in the tank when all is in."""
        return self.held_kg + self.added_kg


class Cooler(NamedTuple):
    """What the cooler takes out and what comes in.

    Attributes:
        power_kW: heat taken out at 10 °C.
        bend: share of it more for each degree warmer; 0 is a constant power.
        inflow_degC: temperature the milk comes in at.
    """

    power_kW: float
    bend: float
    inflow_degC: float

    def heat_kW(self, T: float) -> float:
        """Heat taken out of milk at a temperature."""
        return self.power_kW * (1 + self.bend * (T - MIDDLE_degC))

    @property
    def coolant_degC(self) -> float | None:
        """The temperature its curve tends to; None for a constant power."""
        return MIDDLE_degC - 1 / self.bend if self.bend > _FLAT else None


def onward_degC(T: float, cooler: Cooler, pour: Pour, from_h: float, to_h: float) -> float:
    """Temperature of the well stirred tank at a later time.

    Args:
        T: temperature at `from_h`, °C.
        cooler: heat taken out, and the milk's temperature coming in.
        pour: the milking.
        from_h: hours since it began.
        to_h: the same, not earlier.

    Returns:
        °C at `to_h`.
    """
    at_h = from_h
    if at_h < pour.hours and to_h > at_h:
        if at_h < pour.covered_h:
            until = min(pour.covered_h, pour.hours, to_h)
            T, at_h = _fill(T, cooler._replace(power_kW=0.0), pour, at_h, until), until
        until = min(pour.hours, to_h)
        if until > at_h:
            T, at_h = _fill(T, cooler, pour, at_h, until), until
    return _cool(T, cooler, pour.full_kg, to_h - at_h) if to_h > at_h else T


def _fill(T: float, cooler: Cooler, pour: Pour, from_h: float, to_h: float) -> float:
    """While milk comes in: m*T' = flow*(inflow - T) - heat/c with m = held + flow*t, a power of the masses."""
    flow = pour.added_kg / pour.hours
    before, after = pour.held_kg + flow * from_h, pour.held_kg + flow * to_h
    per_degree = cooler.power_kW * cooler.bend / HEAT_kWh
    constant = cooler.power_kW / HEAT_kWh - per_degree * MIDDLE_degC
    level = (flow * cooler.inflow_degC - constant) / (flow + per_degree)
    return level + (T - level) * math.pow(before / after, 1 + per_degree / flow)


def _cool(T: float, cooler: Cooler, milk_kg: float, hours: float) -> float:
    """All milk in: a straight line, or Newton's curve."""
    pace = cooler.power_kW / (milk_kg * HEAT_kWh)
    if cooler.bend <= _FLAT:
        return T - pace * hours
    coolant = MIDDLE_degC - 1 / cooler.bend
    return coolant + (T - coolant) * math.exp(-pace * cooler.bend * hours)


def hours_to(limit: float, T: float, cooler: Cooler, milk_kg: float) -> float:
    """Hours until the milk, all of it in, is at a limit; infinite where it never is.

    Args:
        limit: °C.
        T: temperature now, °C.
        cooler: heat taken out.
        milk_kg: milk in the tank.
    """
    if limit >= T:
        return 0.0
    pace = cooler.power_kW / (milk_kg * HEAT_kWh)
    if cooler.bend <= _FLAT:
        hours = (T - limit) / pace
    else:
        coolant = MIDDLE_degC - 1 / cooler.bend
        if coolant >= limit:
            return math.inf
        hours = math.log((T - coolant) / (limit - coolant)) / (pace * cooler.bend)
    return hours if hours <= NEVER_H else math.inf

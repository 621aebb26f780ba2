"""The bulk tank of the made-up farm: warm milk in, heat out at the cooler's pace, and its stick chart.

The tank's size, its cooler and its shape are invented; heat balance, specific heat and pounds per gallon are the
published ones of the science.
"""

# ruff: noqa: N802, N803, N806  units keep their capitals: degC, kW
from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from math import acos, sqrt

from herdbook.science.milk_heat import LB_KG, SPECIFIC_HEAT
from herdbook.science.milk_properties import LB_PER_GAL

NAME = "Bulk tank"
CAPACITY_LB = 40_000
FULL_POWER_kW = 18.5
MILK_IN_degC = 26.0
"""Milk comes off a small plate cooler; well set up ones bring it nearer the water (invented)."""

COVERED_LB = 900  # the agitator's paddle is covered and cooling may begin
CUT_OUT_degC, CUT_IN_degC = 2.8, 3.7  # where the thermostat stops and starts the cooler
WARMING_kW = 0.12  # what comes in through the tank's wall
STEP_S = 60

DIAMETER_IN, LENGTH_IN = 88.0, 186.0
MARK_STEP_IN = Fraction(13, 4)
CUBIC_IN_PER_GAL = 231  # exact by definition
STICK_PARTS = 16  # the stick is read to a sixteenth of an inch


def milk_at_stick_lb(stick_in: float) -> float:
    """Milk in a level round tank at a stick reading: the segment of the circle, times its length."""
    radius = DIAMETER_IN / 2
    depth = min(max(stick_in, 0.0), DIAMETER_IN)
    area = radius**2 * acos((radius - depth) / radius) - (radius - depth) * sqrt(
        2 * radius * depth - depth**2
    )
    return area * LENGTH_IN / CUBIC_IN_PER_GAL * LB_PER_GAL


def stick_at_milk_in(milk_lb: float) -> Fraction:
    """What the stick says at so much milk, to the division, by halving."""
    low, high = 0.0, DIAMETER_IN
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if milk_at_stick_lb(middle) < milk_lb else (low, middle)
    return Fraction(round(low * STICK_PARTS), STICK_PARTS)


def stick_chart() -> list[tuple[Fraction, int]]:
    """Lines of the chart, stick in inches and milk in whole pounds, up to what the tank holds."""
    lines: list[tuple[Fraction, int]] = []
    stick_in = MARK_STEP_IN
    while (milk_lb := round(milk_at_stick_lb(float(stick_in)))) <= CAPACITY_LB:
        lines.append((stick_in, milk_lb))
        stick_in += MARK_STEP_IN
    assert all(low[1] < high[1] for low, high in pairwise(lines))
    return lines


@dataclass(slots=True)
class MadeUpTank:
    """The tank as it is at an instant, whether or not anybody looks.

    Args:
        at_s: the instant its state is of, UTC seconds.
        held_kg: milk in it.
        milk_degC: the milk's temperature, well stirred.
        power_share: what the cooler still gives of its full power.
        flow_kg_s: milk coming in.
        inflow_degC: the temperature it comes in at.
    """

    at_s: int
    held_kg: float = 0.0
    milk_degC: float = MILK_IN_degC
    power_share: float = 1.0
    flow_kg_s: float = 0.0
    inflow_degC: float = MILK_IN_degC
    _running: bool = field(default=False, repr=False)

    @property
    def held_lb(self) -> float:
        """Milk in it, in pounds."""
        return self.held_kg / LB_KG

    def go_on_to(self, instant_s: int) -> None:
        """Let time pass up to an instant (UTC seconds)."""
        while self.at_s < instant_s:
            seconds = min(STEP_S, instant_s - self.at_s)
            self._step(seconds)
            self.at_s += seconds

    def _step(self, seconds: int) -> None:
        came_kg = self.flow_kg_s * seconds
        if came_kg:
            heat = self.held_kg * self.milk_degC + came_kg * self.inflow_degC
            self.held_kg += came_kg
            self.milk_degC = heat / self.held_kg
        if not self.held_kg:
            return
        self._switch()
        out_kW = (FULL_POWER_kW * self.power_share if self._running else 0.0) - WARMING_kW
        self.milk_degC -= out_kW * seconds / (self.held_kg * SPECIFIC_HEAT)

    def _switch(self) -> None:
        if self.held_lb < COVERED_LB or self.milk_degC <= CUT_OUT_degC:
            self._running = False
        elif self.milk_degC >= CUT_IN_degC:
            self._running = True

    def let_in(self, milk_lb: float, seconds: int, degC: float) -> None:
        """Begin a milking of so much milk over so many seconds at a temperature."""
        self.flow_kg_s = milk_lb * LB_KG / seconds
        self.inflow_degC = degC

    def shut(self) -> None:
        """End the milking."""
        self.flow_kg_s = 0.0

    def empty(self) -> None:
        """Pump everything into the lorry."""
        self.held_kg = 0.0
        self._running = False

    @property
    def milk_degF(self) -> float:
        """The milk's temperature in degrees Fahrenheit."""
        return self.milk_degC * 9 / 5 + 32

"""What readings of one tank teach: a Kalman filter on its temperature, its cooler and the milk that comes in.

The state is temperature, logarithm of the power, bend and inflow temperature. A reading that does not fit counts
for little (it may be foam, or milk that was not stirred); a second one that agrees with it counts in full.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from statistics import median_low

from herdbook.science.cooling_curve import Reading
from herdbook.science.tank_motion import Cooler, Pour, onward_degC

State = list[float]
Covariance = list[list[float]]

THERMOSTAT_degC = 4.5
"""At or under this (40 °F) the thermostat may have stopped the cooler: such a reading says nothing of its power."""
_STEEPEST = 0.4  # a bend beyond it would be a coolant at 7.5 °C
_NUDGE = (0.05, 0.02, 0.002, 0.2)
# Spreads below are our judgement, chosen on simulated tanks other than those the score is printed for.
_FOAM = 0.04  # share of readings that are of foam, unstirred milk or a slip of the pen
_FOAM_DENSITY = 0.025  # such a reading may be anywhere within 40 °C
# °C, a reading against well stirred milk: flow in fits, lag of the sensor
_OFF_FILLING, _OFF_AFTER = 0.25, 0.1
# °C more, the first milk in an empty tank just as it covers the stirrer; less as more is in
_OFF_FIRST = 2.0
_STIR_FILLING, _STIR_AFTER = 0.6, 0.12  # °C in an hour: what an even flow and a whole tank leave out
_POWER_WANDERS = 0.05  # of the power, in an hour: weather, and faults that come while it cools
_TWICE_degC, _TWICE_PER_H = 1.5, 14.0  # two readings that agree; no tank cools faster than the second


@dataclass(slots=True)
class Belief:
    """What is held of a tank at an instant, as a normal distribution.

    Attributes:
        at_h: hours since the milking began.
        mean: temperature °C, ln of power in kW, bend per °C, inflow °C.
        cov: its covariance.
        log_weight: how well it has foretold the readings.
        why: what it supposes, in a word.
    """

    at_h: float
    mean: State
    cov: Covariance
    log_weight: float = 0.0
    why: str = "usual"
    refused: tuple[float, float] | None = field(default=None, repr=False)

    @property
    def cooler(self) -> Cooler:
        """The cooler at its most likely."""
        return cooler_of(self.mean)

    def go_on(self, pour: Pour, to_h: float, *, wanders: float = _POWER_WANDERS) -> None:
        """Let time pass up to hours since the milking began."""
        hours = to_h - self.at_h
        if hours <= 0:
            return
        T, power, bend, inflow = self.mean
        came = onward_degC(T, self.cooler, pour, self.at_h, to_h)
        slope = []
        for index, nudge in enumerate(_NUDGE):
            if index == 3 and self.at_h >= pour.hours:
                slope.append(0.0)
                continue
            moved = [T, power, bend, inflow]
            moved[index] += nudge
            slope.append((onward_degC(moved[0], cooler_of(moved), pour, self.at_h, to_h) - came) / nudge)
        cov = self.cov
        first = [sum(slope[k] * cov[k][j] for k in range(4)) for j in range(4)]
        stir = _STIR_FILLING if self.at_h < pour.hours else _STIR_AFTER
        own = sum(first[j] * slope[j] for j in range(4)) + stir**2 * hours
        cov[0] = [own, first[1], first[2], first[3]]
        for j in (1, 2, 3):
            cov[j][0] = first[j]
        cov[1][1] += wanders**2 * hours
        self.mean = [came, power, bend, inflow]
        self.at_h = to_h

    def read(self, degC: float, off: float) -> None:
        """Take in one reading.

        Args:
            degC: what was read.
            off: how far such a reading lies from the milk's temperature, as a standard deviation.
        """
        miss = degC - self.mean[0]
        spread = self.cov[0][0] + off**2
        fits = (1 - _FOAM) * math.exp(-miss * miss / spread / 2) / math.sqrt(2 * math.pi * spread)
        odd = _FOAM * _FOAM_DENSITY
        self.log_weight += math.log(fits + odd)
        trust = fits / (fits + odd)
        if trust < 0.5:
            if self._twice(degC, miss):
                self.cov[0][0] += miss * miss
                self.cov[1][1] += 0.3**2
                spread, trust = self.cov[0][0] + off**2, 1.0
                self.refused = None
            else:
                self.refused = (self.at_h, degC)
        else:
            self.refused = None
        self._take(miss, spread, trust, only_T=degC <= THERMOSTAT_degC and miss > 0)

    def _twice(self, degC: float, miss: float) -> bool:
        """Whether the reading before was refused too, and says the same as this one."""
        if self.refused is None:
            return False
        at_h, before = self.refused
        change = _TWICE_degC + _TWICE_PER_H * (self.at_h - at_h)
        return abs(degC - before) <= change and (before - self.mean[0]) * miss > 0

    def _take(self, miss: float, spread: float, trust: float, *, only_T: bool) -> None:
        first = self.cov[0][:]
        gain = [value / spread for value in first]
        if only_T:
            gain[1:] = [0.0, 0.0, 0.0]
        doubt = trust * (1 - trust) * miss * miss
        for i in range(4):
            self.mean[i] += trust * gain[i] * miss
            row = self.cov[i]
            for j in range(4):
                row[j] -= trust * gain[i] * first[j] - doubt * gain[i] * gain[j]
        if only_T:  # the parts keep their spread, and are no longer tied to the temperature
            for j in (1, 2, 3):
                self.cov[0][j] = self.cov[j][0] = 0.0
        self.mean[2] = min(max(self.mean[2], 0.0), _STEEPEST)


def cooler_of(state: Sequence[float]) -> Cooler:
    """The cooler of a state."""
    return Cooler(math.exp(min(state[1], 10.0)), min(max(state[2], 0.0), _STEEPEST), state[3])


def follow(
    beliefs: Sequence[Belief], pour: Pour, points: Iterable[tuple[float, float]], step_degC: float
) -> None:
    """Take in readings one by one.

    Args:
        beliefs: what was held before; changed in place.
        pour: the milking.
        points: hours since the milking began and °C, oldest first.
        step_degC: the step the thermometer is read to.
    """
    rounding = step_degC**2 / 12
    for at_h, degC in points:
        off = math.sqrt(_off(pour, at_h) ** 2 + rounding)
        for belief in beliefs:
            belief.go_on(pour, at_h)
            belief.read(degC, off)


def _off(pour: Pour, at_h: float) -> float:
    if at_h >= pour.hours:
        return _OFF_AFTER
    return _OFF_FILLING + _OFF_FIRST * pour.covered_h / max(at_h, 1e-3)


def thinned(readings: Sequence[Reading], most: int = 32, shortest_s: int = 300) -> list[Reading]:
    """Readings so close together that they repeat each other, as one median reading for each short while.

    Args:
        readings: oldest first.
        most: how many to keep.
        shortest_s: length of such a while, longer where the readings would be too many.
    """
    if len(readings) < 2:
        return list(readings)
    span = readings[-1].at_s - readings[0].at_s
    length = max(shortest_s, span // most + 1)
    end = readings[-1].at_s
    groups: dict[int, list[Reading]] = {}
    for item in readings:
        groups.setdefault((end - item.at_s) // length, []).append(item)
    return [_middle(groups[number]) for number in sorted(groups, reverse=True)]


def _middle(group: Sequence[Reading]) -> Reading:
    if len(group) == 1:
        return group[0]
    at_s = sum(item.at_s for item in group) // len(group)
    return Reading(at_s, median_low(item.tank_mC for item in group), group[-1].key)

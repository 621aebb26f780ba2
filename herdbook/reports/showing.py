"""How a figure is written for a person: the farm's units, the column's decimals, and its flag in words."""

from __future__ import annotations

from datetime import date

from herdbook.chores.ground import Ground
from herdbook.clock import shown_day
from herdbook.plain import plain
from herdbook.reports.figures import Column, Figure
from herdbook.units import FarmUnits, Kept

OWN = "own"
"""A column of this unit holds figures that each carry their own."""

PRICE = "cents/t"
"""Prices of feed are kept a tonne and read a bulk unit of the farm."""

NUMBERED = frozenset({"entry", "number", "strikes", "struck_by", "version"})
"""Columns whose numbers are names and not amounts: no thousands are marked in them."""

_KG = Kept("mass", "kg")
_TONNE = Kept("mass", "t")
_DEGC = Kept("temperature", "°C")
_METER = Kept("length", "m", 1000)


def unit_word(unit: str, units: FarmUnits) -> str:
    """The farm's word for a canonical unit: `kg` is `lb` on a farm that weighs in pounds."""
    words = {
        "kg": units.load,
        "degC": units.warmth,
        "delta_degC": units.warmth,
        "cents": units.currency,
        PRICE: f"{units.currency}/{units.bulk}",
        "mm": units.stick,
        "time": "",
        "day": "",
        OWN: "",
    }
    return words.get(unit, unit)


def in_farm_units(value: float, unit: str, units: FarmUnits) -> float:
    """A canonical number in the unit the farm reads."""
    if unit == "kg":
        return _KG.value_in(value, units.load)
    if unit == "degC":
        return _DEGC.value_in(value, units.warmth)
    if unit == "delta_degC":
        return value * 1.8 if units.system == "us" else value
    if unit == "mm":
        return _METER.value_in(value, units.stick)
    if unit == PRICE:
        return value / 100 / _TONNE.value_in(1, units.bulk)
    return value / 100 if unit == "cents" else value


def shown(figure: Figure, column: Column, ground: Ground, *, with_unit: bool = False) -> str:
    """The figure's value as one line of harmless text; an en dash where there is none, which is never zero.

    Args:
        figure: the figure.
        column: where it stands: its unit (or "own" for the figure's own) and its decimals.
        ground: the farm's units and clock.
        with_unit: write the unit behind the number.
    """
    value = figure.value
    unit = figure.unit if column.unit in ("", OWN) else column.unit
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return _words(value, unit, column, ground)
    if unit == "time":
        return ground.shown(int(value))
    if column.key in NUMBERED and isinstance(value, int):
        return str(value)
    number = in_farm_units(value, unit, ground.units)
    decimals = max(column.decimals, 2) if unit == "cents" else column.decimals
    text = ground.units.number(number, decimals)
    if unit == "cents":
        return f"{ground.units.currency}{text}" if with_unit else text
    word = unit_word(unit, ground.units)
    return f"{text} {word}" if with_unit and word else text


def _words(value: str, unit: str, column: Column, ground: Ground) -> str:
    if unit == "day":
        try:
            return shown_day(date.fromisoformat(value))
        except ValueError:
            return plain(value)
    # a column of units names the unit that its neighbour is shown in
    return unit_word(value, ground.units) if column.key.endswith("unit") else plain(value)


def flagged(figure: Figure, text: str) -> str:
    """The text with its flag and the flag's word, so that colour never speaks alone."""
    word = "" if figure.says and figure.says == text else plain(figure.says)
    return " ".join(part for part in (figure.flag, text, word) if part)


def heading(column: Column, units: FarmUnits) -> str:
    """A column's label with the farm's unit under it, where the label does not say it already."""
    word = unit_word(column.unit, units)
    return f"{column.label} {word}" if word and word not in column.label.split() else column.label

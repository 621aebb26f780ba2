"""How each field of a chore is typed, in a word or two: for the list of options and for the manual."""

from __future__ import annotations

from typing import Any

from herdbook.chores.asking import Ask
from herdbook.units import FarmUnits

_TYPED = {
    "count": "NUMBER",
    "moment": "TIME",
    "timeofday": "TIME",
    "later": "TIME",
    "day": "DAY",
    "name": "NAME",
    "words": "TEXT",
    "yesno": "yes|no",
    "priceperweight": "PRICE",
    "pricepermilk": "PRICE",
    "statedhours": "HOURS",
    "loadname": "LOAD",
    "walkname": "COW",
    "air": "TEMPERATURE",
    "fileread": "JSON",
    "rowoffields": "JSON",
    "measure": "AMOUNT",
    "perhead": "AMOUNT",
    "nutrientvalue": "FIGURE",
    "targetbounds": "LOW AIM HIGH",
}
LONGEST_CHOICE = 24


def how_typed(ask: Ask) -> str:
    """What stands for the field's text in a list of options: `AMOUNT`, `yes|no`, `FEED=AMOUNT`."""
    each: Any = getattr(ask, "each", None)
    if each is not None:
        return how_typed(each)
    first: Any = getattr(ask, "first", None)
    second: Any = getattr(ask, "second", None)
    if first is not None and second is not None:
        return f"{first.label.upper()}={second.label.upper()}".replace(" ", "-")
    words = getattr(ask, "words", None)
    if words and len("|".join(words)) <= LONGEST_CHOICE:
        return "|".join(words)
    return _TYPED.get(ask.kind, ask.kind.upper())


def help_line(ask: Ask, *, required: bool, units: FarmUnits | None = None) -> str:
    """One line on a field: what it is, its words, the unit of a bare number, whether it is needed."""
    each: Any = getattr(ask, "each", ask)
    words = getattr(each, "words", ())
    notes = []
    if words and "|" not in how_typed(ask):
        notes.append(", ".join(words))
    if units is not None and (unit := ask.unit_word(units)):
        notes.append(f"bare numbers are {unit}")
    if required:
        notes.append("needed")
    said = ask.help or ask.label
    return f"{said} ({'; '.join(notes)})" if notes else said

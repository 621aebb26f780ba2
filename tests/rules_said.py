"""What one rule of the book says, alone; where a test asks for it by name, that rule counts as broken by a test."""

from __future__ import annotations

from herdbook.book.opening import reading
from herdbook.book.rules.looking import Look, every_rule
from tests.yard import Yard


def said_by(yard: Yard, rule: str) -> str:
    """The findings of one rule, a line each; nothing when the book keeps it.

    Raises:
        ValueError: no rule, or more than one, has that name.
    """
    (function,) = (one for one in every_rule() if one.__name__ == rule)
    with reading(yard.path) as connection:
        found = list(function(Look(connection, yard.now_s)))
    return "\n".join(f"{one.about} {one.farm_day} {one.says}" for one in found)

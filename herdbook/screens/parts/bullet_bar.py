"""One figure against its lowest, aim and highest, drawn so that a limit always stands in the same place."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import isfinite
from typing import Literal, NamedTuple

from rich.text import Text

from herdbook.screens.parts.lines import pieces
from herdbook.screens.parts.signs import UNICODE, SignSet

Number = int | float | Fraction | Decimal
Side = Literal["ok", "low", "high", "unknown"]
FEWEST_CELLS = 9


class Bullet(NamedTuple):
    """A drawn bar: the track of signs, the word beside it, and on which side the value is."""

    track: Text
    verdict: Text
    side: Side


class _Scale(NamedTuple):
    """Two values and the seats (cells, from 0) they stand on; everything else follows the straight line."""

    value_a: float
    seat_a: int
    value_b: float
    seat_b: int

    def seat(self, value: float) -> float:
        share = (value - self.value_a) / (self.value_b - self.value_a)
        return self.seat_a + share * (self.seat_b - self.seat_a)


def side_of(value: Number | None, low: Number | None, high: Number | None) -> Side:
    """Say on which side of its limits a value is; a value at a limit is inside. NaN and None are unknown."""
    if value is None or not isfinite(value):
        return "unknown"
    if low is not None and value < low:
        return "low"
    if high is not None and value > high:
        return "high"
    return "ok"


def verdict_of(side: Side, signs: SignSet = UNICODE, *, short: bool = False) -> Text:
    """Give the word for a side, `short` as the bare sign: `ok`, `< low`, `> high`, `? not known`."""
    sign, word = {
        "ok": ("", "ok"),
        "low": (signs.under, "low"),
        "high": (signs.over, "high"),
        "unknown": (signs.unknown, "not known"),
    }[side]
    role = {"ok": "clover", "unknown": "dust"}.get(side, "warn")
    return Text(sign if short and sign else f"{sign} {word}".strip(), role)


def bullet(
    value: Number | None,
    low: Number | None,
    aim: Number | None,
    high: Number | None,
    *,
    ring: Number | None = None,
    cells: int = 17,
    signs: SignSet = UNICODE,
) -> Bullet:
    """Draw a value against its limits.

    The lowest stands at 1/4 of the line, the highest at 3/4; without one of them the band is open to
    that end, and the line starts at zero. A value inside is never drawn on or beyond a limit, nor one
    outside on or inside it, whatever the rounding. All numbers in one unit.

    Args:
        value: the figure, None when not known.
        low: lowest wanted, None when there is none.
        aim: wanted value, drawn as a tick inside the band; None when there is none.
        high: highest wanted, None when there is none.
        ring: another figure to compare with, such as the version in use.
        cells: length of the line, at least 9.
        signs: signs to draw with.

    Raises:
        ValueError: low above high.
    """
    if low is not None and high is not None and low > high:
        raise ValueError(f"lowest {low} is above highest {high}")
    cells = max(cells, FEWEST_CELLS)
    low_seat = round((cells - 1) / 4) if low is not None else -1
    high_seat = cells - 1 - round((cells - 1) / 4) if high is not None else cells
    scale = _scale(low, aim, high, low_seat, high_seat, cells)
    track = _empty_track(low_seat, high_seat, cells, signs, bounded=low is not None or high is not None)

    def put(figure: Number | None, sign: str, role: str) -> None:
        side = side_of(figure, low, high)
        if figure is not None and side != "unknown":
            seat = _clamped(scale.seat(float(figure)), side, low_seat, high_seat, cells)
            arrow = {-1: signs.off_left, cells: signs.off_right}.get(seat)
            track[min(max(seat, 0), cells - 1)] = (arrow or sign, role)

    if side_of(aim, low, high) == "ok":
        put(aim, signs.aim, "chalk")
    put(ring, signs.ring, "dust")
    side = side_of(value, low, high)
    put(value, signs.now, "clover" if side == "ok" else "hay")
    return Bullet(pieces(*track), verdict_of(side, signs), side)


def _scale(
    low: Number | None, aim: Number | None, high: Number | None, low_seat: int, high_seat: int, cells: int
) -> _Scale:
    """Choose the two values that fix the line: the limits, else the one limit or the aim, and zero."""
    if low is not None and high is not None:
        bottom, top = float(low), float(high)
        return _Scale(bottom, low_seat, top if top > bottom else bottom + (abs(bottom) or 1.0), high_seat)
    if high is not None:
        top = float(high)
        return _Scale(0.0 if top > 0 else top - (abs(top) or 1.0), 0, top, high_seat)
    if low is not None:
        bottom = float(low)
        return _Scale(0.0 if bottom > 0 else bottom - (abs(bottom) or 1.0), 0, bottom, low_seat)
    middle = float(aim) if aim is not None else 0.0
    return _Scale(middle - (abs(middle) or 1.0), 0, middle, (cells - 1) // 2)


def _clamped(seat: float, side: Side, low_seat: int, high_seat: int, cells: int) -> int:
    """Keep a seat on the value's own side of the limits; -1 and `cells` mean off the line."""
    first, last = {
        "low": (-1, low_seat - 1),
        "high": (high_seat + 1, cells),
        "ok": (low_seat + 1, high_seat - 1),
    }.get(side, (0, cells - 1))
    # Inside an open band the far end holds whatever lies beyond the line.
    return min(max(round(min(max(seat, -1.0), float(cells))), first), last)


def _empty_track(
    low_seat: int, high_seat: int, cells: int, signs: SignSet, *, bounded: bool
) -> list[tuple[str, str]]:
    def at(seat: int) -> tuple[str, str]:
        if seat == low_seat:
            return signs.low, "dust"
        if seat == high_seat:
            return signs.high, "dust"
        inside = bounded and low_seat < seat < high_seat
        return (signs.heavy, "dust") if inside else (signs.rule, "rule")

    return [at(seat) for seat in range(cells)]

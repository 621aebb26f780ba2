"""A temperature record as one drawing for paper: readings, limits, gaps, struck readings, milkings and pickups."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from html import escape

from herdbook.chores.ground import Ground
from herdbook.reports.temperature_record import GAP_S, TemperatureRecord
from herdbook.units import TEMPERATURE_MC

WIDE, HIGH, LEFT, FOOT, TOP = 1000, 320, 50, 34, 10
DAY_S = 86_400
WORDS_WIDE = 70
"""What "no reading" takes in letters of this size."""
HEADROOM_MC = 500
LOWEST_MC, HIGHEST_MC = 0, 16_000
"""The least the scale spans, so that the same height means the same on every record of cold milk."""


def as_svg(record: TemperatureRecord, ground: Ground) -> str:
    """The drawing, of its own size and without anything beside it."""
    plot = _Plot(record, ground)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDE} {HIGH}" role="img" '
        'font-family="sans-serif" font-size="12">',
        f"<title>{escape('Temperature over time')}</title>",
        f'<rect x="{LEFT}" y="{TOP}" width="{WIDE - LEFT}" height="{HIGH - FOOT - TOP}" fill="#fff" stroke="#000"/>',
        *plot.gaps(),
        *plot.milkings(),
        *plot.levels(),
        *plot.times(),
        *plot.limits(),
        *plot.taken(),
        *plot.lines(),
        *plot.struck(),
        "</svg>",
    ]
    return "\n".join(parts)


class _Plot:
    def __init__(self, record: TemperatureRecord, ground: Ground) -> None:
        self.record, self.ground = record, ground
        every = [milli for _, milli in (*record.points, *record.struck)]
        self.low = min([LOWEST_MC, *every])
        self.high = max([HIGHEST_MC, *(milli + HEADROOM_MC for milli in every)])

    def x(self, at_s: float) -> float:
        share = (at_s - self.record.first_s) / max(1, self.record.last_s - self.record.first_s)
        return round(LEFT + share * (WIDE - LEFT), 1)

    def y(self, milli: float) -> float:
        share = (milli - self.low) / (self.high - self.low)
        return round(HIGH - FOOT - share * (HIGH - FOOT - TOP), 1)

    def _band(self, begins_s: int, ends_s: int, fill: str, says: str) -> str:
        first, last = self.x(max(begins_s, self.record.first_s)), self.x(min(ends_s, self.record.last_s))
        return (
            f'<rect x="{first}" y="{TOP}" width="{max(1.0, round(last - first, 1))}" height="{HIGH - FOOT - TOP}" '
            f'fill="{fill}"><title>{escape(says)}</title></rect>'
        )

    def gaps(self) -> Iterator[str]:
        for begins_s, ends_s in self.record.gaps:
            yield self._band(begins_s, ends_s, "#ddd", "no reading")
            first, last = self.x(begins_s), self.x(ends_s)
            if last - first < WORDS_WIDE:  # grey alone says it; the foot of the page tells what grey is
                continue
            x, y = (first + last) / 2, HIGH - FOOT - 6
            yield f'<text x="{x:.1f}" y="{y}" text-anchor="middle" fill="#444">no reading</text>'

    def milkings(self) -> Iterator[str]:
        for begins_s, ends_s in self.record.milkings:
            first, last = self.x(max(begins_s, self.record.first_s)), self.x(min(ends_s, self.record.last_s))
            yield (
                f'<rect x="{first}" y="{HIGH - FOOT - 4}" width="{max(1.0, round(last - first, 1))}" height="4" '
                'fill="#000"><title>milking</title></rect>'
            )

    def levels(self) -> Iterator[str]:
        warmth = self.ground.units.warmth
        low, high = TEMPERATURE_MC.value_in(self.low, warmth), TEMPERATURE_MC.value_in(self.high, warmth)
        step = 10 if warmth == "°F" else 5
        for level in range(math.ceil(low / step) * step, math.floor(high) + 1, step):
            milli = (level - 32) / 1.8 * 1000 if warmth == "°F" else level * 1000
            y = self.y(milli)
            yield f'<line x1="{LEFT}" x2="{WIDE}" y1="{y}" y2="{y}" stroke="#ccc"/>'
            yield f'<text x="{LEFT - 5}" y="{y + 4}" text-anchor="end">{level} {warmth}</text>'

    def times(self) -> Iterator[str]:
        span_s = self.record.last_s - self.record.first_s
        step_h = 3 if span_s <= 2 * DAY_S else 24
        every = max(1, math.ceil(span_s / DAY_S / 14)) if step_h == 24 else 1
        day = 0
        for at_s in range(self.record.first_s, self.record.last_s, 3600):
            local = self.ground.clock.local(at_s)
            if local.hour % step_h:
                continue
            day += 1
            if (day - 1) % every:
                continue
            x, words = self.x(at_s), f"{local:%H:%M}" if step_h < 24 else f"{local:%d %b}"
            yield f'<line x1="{x}" x2="{x}" y1="{HIGH - FOOT}" y2="{HIGH - FOOT + 5}" stroke="#000"/>'
            yield f'<text x="{x}" y="{HIGH - FOOT + 18}" text-anchor="middle">{words}</text>'

    def limits(self) -> Iterator[str]:
        for milli, words in self.record.limits:
            if self.low <= milli <= self.high:
                y = self.y(milli)
                yield (
                    f'<line x1="{LEFT}" x2="{WIDE}" y1="{y}" y2="{y}" stroke="#000" stroke-dasharray="6 4"/>'
                    f'<text x="{WIDE - 4}" y="{y - 3}" text-anchor="end">{escape(words)}</text>'
                )

    def taken(self) -> Iterator[str]:
        for at_s in self.record.taken:
            x = self.x(at_s)
            yield f'<line x1="{x}" x2="{x}" y1="{TOP}" y2="{HIGH - FOOT}" stroke="#000" stroke-dasharray="2 3"/>'
            yield f'<text x="{x + 3}" y="{TOP + 12}">out</text>'

    def lines(self) -> Iterator[str]:
        for run in runs(self.record.points):
            kept = _thin(run, self.x)
            points = " ".join(f"{self.x(at_s)},{self.y(milli)}" for at_s, milli in kept)
            yield f'<polyline points="{points}" fill="none" stroke="#000" stroke-width="1.6"/>'
            if len(self.record.points) <= 400:
                yield from (
                    f'<circle cx="{self.x(at_s)}" cy="{self.y(milli)}" r="2.2"/>' for at_s, milli in run
                )

    def struck(self) -> Iterator[str]:
        for at_s, milli in self.record.struck:
            x, y = self.x(at_s), self.y(milli)
            yield (
                f'<g stroke="#000"><title>struck</title><circle cx="{x}" cy="{y}" r="4.5" fill="#fff"/>'
                f'<line x1="{x - 4}" y1="{y - 4}" x2="{x + 4}" y2="{y + 4}"/></g>'
            )


def runs(points: Sequence[tuple[int, int]]) -> list[list[tuple[int, int]]]:
    """The readings parted where they lie further apart than a gap."""
    found: list[list[tuple[int, int]]] = []
    for point in points:
        if found and point[0] - found[-1][-1][0] <= GAP_S:
            found[-1].append(point)
        else:
            found.append([point])
    return found


def _thin(run: Sequence[tuple[int, int]], x: object) -> list[tuple[int, int]]:
    """At most the coldest and the warmest of each thousandth of the width: a line on paper shows no more."""
    if len(run) <= 2 * WIDE:
        return list(run)
    columns: dict[int, list[tuple[int, int]]] = {}
    for point in run:
        columns.setdefault(int(x(point[0])), []).append(point)  # type: ignore[operator]
    kept: list[tuple[int, int]] = []
    for its in columns.values():
        kept += sorted({min(its, key=lambda one: one[1]), max(its, key=lambda one: one[1])})
    return kept

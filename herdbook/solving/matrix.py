"""A feed problem as a matrix: each limit a row, each feed a column in kilograms as fed a head a day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NamedTuple

from herdbook.errors import Refused
from herdbook.solving.linear import FeedTable, Form, form_of, lacking
from herdbook.solving.programme import Feed, Limit, Programme, Side
from herdbook.solving.words import figure_within, list_of

if TYPE_CHECKING:
    from herdbook.solving.highs import Floats

INF, NAN = float("inf"), float("nan")


class Row(NamedTuple):
    """Which limit a row of the matrix belongs to, and which of its bounds the row keeps."""

    limit: int
    side: Literal["low", "high", "both"]

    def keeps(self, side: Side) -> bool:
        """Whether the row keeps that bound of its limit."""
        return self.side in (side, "both")


@dataclass(slots=True)
class Matrix:
    """Rows over feeds, scaled so that the largest coefficient of a row is 1.

    A share of L of the dry matter is kept as ``sum((x_i - L) * dm_i) >= 0``, which is linear, so it has a row
    for each bound. An amount has one row between both bounds.

    Attributes:
        rows: what each row keeps.
        forms: top and bottom of each limit's figure, by limit.
        coefficients: rows by feeds.
        row_low, row_high: bounds of the rows.
        scale: what each row was divided by.
        low, high: bounds of the feeds, in kg as fed; a feed left out has 0 and 0.
        left_out: feeds left out, with the analyses they lack.
    """

    rows: list[Row]
    forms: list[Form]
    coefficients: Floats
    row_low: Floats
    row_high: Floats
    scale: Floats
    low: Floats
    high: Floats
    left_out: dict[str, tuple[str, ...]]

    def value(self, limit: int, amounts: Floats) -> float | None:
        """The figure a limit limits at these amounts; None when it cannot be told: nothing to
        divide by, or no analysis."""
        form = self.forms[limit]
        top = float(form.top @ amounts)
        if top != top:
            return None
        if form.bottom is None:
            return top
        bottom = float(form.bottom @ amounts)
        return top / bottom if bottom else None


def matrix_of(programme: Programme) -> Matrix:
    """Set up the matrix.

    Raises:
        Refused: something typed cannot be used, or a feed lacks an analysis that a limit counts with and the
            problem says to refuse, or the feed cannot be left out.
    """
    import numpy as np

    programme.check()
    low = np.array([feed.as_fed(feed.least_kg) for feed in programme.feeds])
    high = np.array([min(programme.most_as_fed(feed)) for feed in programme.feeds])
    table = FeedTable(programme.feeds, programme.limits)
    left_out: dict[str, tuple[str, ...]] = {}
    forms, lacks = _forms(programme, table, high)
    while lacks:
        _may_leave_out(programme, lacks)
        left_out |= {programme.feeds[at].name: keys for at, keys in lacks.items()}
        high[list(lacks)] = 0.0
        forms, lacks = _forms(programme, table, high)
    rows = [Row(at, side) for at, limit in enumerate(programme.limits) for side in _sides(limit, forms[at])]
    made = Matrix(
        rows,
        forms,
        np.empty((len(rows), len(programme.feeds))),
        np.empty(len(rows)),
        np.empty(len(rows)),
        np.ones(len(rows)),
        low,
        high,
        left_out,
    )
    for at, row in enumerate(rows):
        made.coefficients[at], made.row_low[at], made.row_high[at] = row_of(
            programme.limits[row.limit], row, made
        )
    largest = np.abs(made.coefficients).max(axis=1, initial=0.0)
    made.scale = np.where(largest > 0, largest, 1.0)
    made.coefficients /= made.scale[:, None]
    made.row_low /= made.scale
    made.row_high /= made.scale
    return made


def row_of(limit: Limit, row: Row, matrix: Matrix) -> tuple[Floats, float, float]:
    """Coefficients and bounds of one row as it is before scaling."""
    form = matrix.forms[row.limit]
    low, high = limit.low, limit.high
    if form.bottom is None:
        return form.top, -INF if low is None else low, INF if high is None else high
    bound = low if row.keeps("low") else high
    # `_sides` makes no row for an open bound
    return (
        form.top - (bound or 0.0) * form.bottom,
        0.0 if row.keeps("low") else -INF,
        0.0 if row.keeps("high") else INF,
    )


def _sides(limit: Limit, form: Form) -> tuple[Literal["low", "high", "both"], ...]:
    if limit.low is None and limit.high is None:
        return ()
    if form.bottom is None or limit.low == limit.high:
        return ("both",)
    sides: list[Literal["low", "high", "both"]] = []
    sides += ["low"] if limit.low is not None else []
    sides += ["high"] if limit.high is not None else []
    return tuple(sides)


def _forms(
    programme: Programme, table: FeedTable, high: Floats
) -> tuple[list[Form], dict[int, tuple[str, ...]]]:
    """Every limit's form, and the feeds that could be fed but lack an analysis, with what they lack."""
    table.matters = (high > 0) & (table.dry > 0)
    forms = [form_of(limit, table) for limit in programme.limits]
    if not table.unknown:
        return forms, {}
    lacks: dict[int, dict[str, None]] = {}
    for place, (limit, form) in enumerate(zip(programme.limits, forms, strict=True)):
        gaps = list(lacking(form, table))
        if gaps and limit.low is None and limit.high is None:
            forms[place] = form._replace(
                top=form.top * NAN
            )  # an open limit asks for nothing, nor can it be told
            continue
        for at, key in gaps:
            lacks.setdefault(at, {})[key] = None
    return forms, {at: tuple(keys) for at, keys in lacks.items()}


def _may_leave_out(programme: Programme, lacks: dict[int, tuple[str, ...]]) -> None:
    told = [_lacks_in_words(programme.feeds[at], keys) for at, keys in lacks.items()]
    if programme.undetermined == "refuse":
        raise Refused(
            f"A limit counts with what was not determined: {'; '.join(told)}.",
            remedy="Enter an analysis, say what to count it as, leave the feed out, or drop the limit.",
            field=programme.feeds[next(iter(lacks))].name,
        )
    for at, keys in lacks.items():
        if programme.feeds[at].least_kg > 0:
            raise Refused(
                f"{_lacks_in_words(programme.feeds[at], keys)}, and it has a least amount, so it cannot be "
                "left out.",
                remedy="Enter an analysis, say what to count it as, or drop the limit.",
                field=programme.feeds[at].name,
            )


def _lacks_in_words(feed: Feed, keys: tuple[str, ...]) -> str:
    return f"{feed.name} has no {list_of([figure_within(key) for key in keys])}"

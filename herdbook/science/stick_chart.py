"""The tank's stick: reading a chart between its marks, how true it must be, farm against plant weight."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from herdbook.errors import Refused
from herdbook.science.registry import Argument, Check, published
from herdbook.science.tables_as_published import rows

SUBJECT = "Stick, chart and weight"
CUBIC_INCHES_PER_GAL = 231  # exact by definition
WATCH_PERCENT = 0.35  # a steady gap above this deserves a look, J. Dairy Sci. 46(2):161
SATISFACTORY_PERCENT = 0.50  # 0.25 to 0.50 % is satisfactory, same

Watch = Literal["in line", "watch", "look into it"]


@dataclass(frozen=True)
class StickChart:
    """A tank's own chart: rod readings and the milk each stands for, both in whole units of the caller's
    choice.

    Attributes:
        marks: pairs of reading and amount, both strictly rising.
    """

    marks: tuple[tuple[Fraction, Fraction], ...]

    @classmethod
    def of(cls, pairs: Iterable[tuple[int | Fraction, int | Fraction]]) -> StickChart:
        """A chart from pairs of reading and amount in any order.

        Raises:
            Refused: fewer than two marks, a mark twice, or an amount that does not rise with the reading.
        """
        marks = tuple(sorted((Fraction(reading), Fraction(amount)) for reading, amount in pairs))
        if len(marks) < 2:
            raise _bad_chart("A stick chart needs at least two marks.")
        for (reading, amount), (above, more) in pairwise(marks):
            if reading == above:
                raise _bad_chart(f"The mark {float(reading):g} is on the chart twice.")
            if more <= amount:
                raise _bad_chart(f"The chart does not rise between {float(reading):g} and {float(above):g}.")
        return cls(marks)

    def amount(self, reading: int | Fraction) -> Fraction:
        """Milk in the tank at a rod reading, exactly; straight between two marks.

        Args:
            reading: rod reading in the unit of the chart's marks.

        Returns:
            The amount in the unit of the chart's amounts.

        Raises:
            Refused: the reading lies outside the chart. A tank is not filled above its calibrated range
                (Michigan MCL 288.535).
        """
        at = Fraction(reading)
        first, last = self.marks[0][0], self.marks[-1][0]
        if not first <= at <= last:
            raise Refused(
                f"The stick reading {float(at):g} is outside the chart, {float(first):g} to {float(last):g}.",
                remedy="Read the stick again; a tank is not filled above its calibrated range.",
                field="stick",
            )
        index = bisect_left(self.marks, at, key=lambda mark: mark[0])
        above, more = self.marks[index]
        if above == at:
            return more
        below, less = self.marks[index - 1]
        return less + (more - less) * (at - below) / (above - below)


def _bad_chart(message: str) -> Refused:
    return Refused(message, remedy="Give reading and amount of each mark, both rising.", field="chart")


@published(
    "stick-between-marks",
    title="Amount between two marks of a stick chart",
    subject=SUBJECT,
    formula="amount = lower_amount + (upper_amount - lower_amount) * (reading - lower) / (upper - lower)",
    unit="gal",
    source=("WISCONSIN-STICK", "MISSISSIPPI75"),
    arguments={
        "lower": Argument("mark below", "in", 0, floor=0),
        "lower_amount": Argument("amount at the mark below", "gal", 0, floor=0),
        "upper": Argument("mark above", "in", 0, floor=0),
        "upper_amount": Argument("amount at the mark above", "gal", 0, floor=0),
        "reading": Argument("stick reading", "in", 0, floor=0),
    },
    check=(
        Check(
            {"lower": 33, "lower_amount": 337, "upper": 34, "upper_amount": 345, "reading": 33.25},
            339,
            1e-9,
            "training text: 33 in is 337, 34 in is 345, so 33 1/4 in is 339 gal",
        ),
        Check(
            {"lower": 30, "lower_amount": 310, "upper": 40, "upper_amount": 400, "reading": 36},
            364,
            1e-9,
            "derived: a coarse chart",
        ),
    ),
    notes="A chart that lists every division of the rod needs none. A dirty rod reads high.",
)
def between_marks_gal(
    *, lower: float, lower_amount: float, upper: float, upper_amount: float, reading: float
) -> float:
    """Straight line between the two neighbouring marks; refused outside them."""
    if not (lower <= reading <= upper and lower < upper):
        raise ValueError("the reading must lie between the two marks")
    return lower_amount + (upper_amount - lower_amount) * (reading - lower) / (upper - lower)


@published(
    "stick-division-worth",
    title="Milk that one division of the stick stands for",
    subject=SUBJECT,
    formula="worth = division * length * width / 231",
    unit="gal",
    source="MISSISSIPPI75",
    arguments={
        "division": Argument("one division of the rod", "in", 0.01, 0.25, floor=1e-6),
        "length": Argument("length of the milk's surface", "in", 10, 400, floor=0.1),
        "width": Argument("width of the milk's surface", "in", 10, 200, floor=0.1),
    },
    check=Check(
        {"division": 1 / 32, "length": 96, "width": 60}, 0.779221, 1e-5, "derived: 1/32 in on 60 x 96 in"
    ),
)
def division_worth_gal(*, division: float, length: float, width: float) -> float:
    """Gallons between two neighbouring divisions on a surface of that size."""
    return division * length * width / CUBIC_INCHES_PER_GAL


@published(
    "chart-tolerance",
    title="How far a tank's chart may be off",
    subject=SUBJECT,
    formula="tolerance = the table's for the test draft, and never less than one division_worth",
    unit="gal",
    source="MARYLAND3405",
    arguments={
        "draft": Argument("test draft", "gal", 1, 20_000, floor=0),
        "division_worth": Argument("what one division of the rod stands for", "gal", 0, 5, floor=0),
    },
    check=(
        Check({"draft": 250}, 0.5, 1e-9, "table: 250 gal or less"),
        Check({"draft": 251}, 1, 1e-9, "table: 251 to 500 gal"),
        Check({"draft": 1000}, 2, 1e-9, "table: 501 to 1,000 gal"),
        Check({"draft": 2500}, 5, 1e-9, "table: over 2,000 gal"),
        Check({"draft": 240, "division_worth": 0.779221}, 0.779221, 1e-9, "derived: the division is more"),
    ),
    notes="The bands' tops come to 0.2 % of the draft.",
)
def chart_tolerance_gal(*, draft: float, division_worth: float = 0.0) -> float:
    """Tolerance of a chart in gallons either way."""
    for row in rows("chart_tolerances.csv"):
        if not row["up_to_gal"] or draft <= float(row["up_to_gal"]):
            return max(float(row["tolerance_gal"]), division_worth)
    raise ValueError("the table has no last row without an upper end")


@published(
    "weight-difference",
    title="Plant weight short of farm weight",
    subject=SUBJECT,
    formula="difference = 100 * (farm - plant) / farm",
    unit="%",
    source="WEIGHTS1963",
    arguments={
        "farm": Argument("weight by the farm's stick", "lb", 100, floor=0.1),
        "plant": Argument("weight by the plant's scale", "lb", 0, floor=0),
    },
    check=Check({"farm": 10_000, "plant": 9_960}, 0.4, 1e-9, "derived: inside 0.5 %, above the 0.35 % line"),
    notes="0.25 to 0.50 % is satisfactory; steadily above 0.35 % deserves a look. Below nought the plant has "
    "more.",
)
def weight_difference_percent(*, farm: float, plant: float) -> float:
    """How much less the plant weighed than the farm, as a share of the farm's weight."""
    return 100 * (farm - plant) / farm


def weight_watch(difference_percent: float) -> Watch:
    """What to make of a difference between farm and plant weight, either way.

    Args:
        difference_percent: from `weight_difference_percent`.

    Returns:
        "in line" up to 0.35 %, "watch" up to 0.50 % (one such pickup is satisfactory, a steady gap is not),
        "look into it" above.

    References:
        .. [1] J. Dairy Sci. 46(2):161 (1963), abstract.
    """
    gap = round(abs(difference_percent), 9)
    if gap <= WATCH_PERCENT:
        return "in line"
    return "watch" if gap <= SATISFACTORY_PERCENT else "look into it"

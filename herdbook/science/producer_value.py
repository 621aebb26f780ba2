"""From the pool to the cheque: the producer price differential, and a farm's milk line by line."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from herdbook.science.milk_prices import exact
from herdbook.science.price_formulas import PER_CWT, rounded
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Milk prices"
PROMOTION_PER_CWT = Decimal(
    "0.15"
)  # 7 CFR 1150.152; up to 10 cents of it may go to a state or regional program
CELLS_BASE = Decimal(350)
LB_PER_CWT = Decimal(100)


class Differential(NamedTuple):
    """What is left of the pool for a hundredweight, before and after the reserve."""

    remainder: float
    per_cwt: float
    differential: float


# Computation of the producer price differential, Mideast order; component values as the sheet prints them.
POOL_JANUARY_2017 = {
    "class_value": 328_013_455.77,
    "protein": 120_913_784.45,
    "other_solids": 25_036_583.59,
    "butterfat": 170_916_069.25,
    "cells": 2_590_105.90,
    "location": 1_457_564.71,
    "half_fund": 790_000.00,
    "hundredweights": 17_421_255.28,
}


def _money(what: str) -> Argument:
    return Argument(what, "dollar", -1e9, 1e10, floor=-1e11)


@published(
    "producer-price-differential",
    title="Producer price differential of a pool",
    subject=SUBJECT,
    formula="remainder = class_value - protein - other_solids - butterfat - cells; "
    "per cwt = (remainder + location + half_fund) / hundredweights; differential = per cwt - reserve, to "
    "cents",
    unit={"remainder": "dollar", "per_cwt": "dollar/cwt", "differential": "dollar/cwt"},
    source=("CFR1030", "MIDEAST-POOL"),
    arguments={
        "class_value": _money("all handlers' class value, overage and inventory in it"),
        "protein": _money("value of protein at the component price"),
        "other_solids": _money("value of other solids at the component price"),
        "butterfat": _money("value of butterfat at the component price"),
        "cells": _money("cell-count value"),
        "location": _money("location adjustments"),
        "half_fund": _money("half of the unobligated fund balance"),
        "hundredweights": Argument("producer milk", "cwt", 1, floor=0.01),
        "reserve": Argument("held back", "dollar/cwt", 0.04, 0.05, floor=0, ceiling=1),
    },
    check=(
        Check(
            POOL_JANUARY_2017 | {"reserve": 0.0401894},
            {"remainder": 8_556_912.58, "per_cwt": 0.6201894, "differential": 0.58},
            1e-5,
            "pool sheet, January 2017",
        ),
        Check(
            POOL_JANUARY_2017 | {"reserve": 0.05},
            {"differential": 0.57},
            1e-9,
            "derived: the same pool with 5 cents held back",
        ),
    ),
    notes="Can be below nought, and is not a deduction.",
)
def producer_price_differential(
    *,
    class_value: float,
    protein: float,
    other_solids: float,
    butterfat: float,
    cells: float,
    location: float,
    half_fund: float,
    hundredweights: float,
    reserve: float,
) -> Differential:
    """What the pool has over the component values, for each hundredweight."""
    components = exact(protein) + exact(other_solids) + exact(butterfat) + exact(cells)
    remainder = exact(class_value) - components
    per_cwt = (remainder + exact(location) + exact(half_fund)) / exact(hundredweights)
    return Differential(float(remainder), float(per_cwt), float(rounded(per_cwt - exact(reserve), PER_CWT)))


class Line(NamedTuple):
    """One line of a milk cheque: so much of something at a price, to the cent."""

    key: str
    title: str
    quantity: Decimal
    unit: str
    price: Decimal
    amount: Decimal


class Cheque(NamedTuple):
    """What milk is worth, line by line: earned, gross, taken off, net."""

    earned: tuple[Line, ...]
    taken_off: tuple[Line, ...]
    gross: Decimal
    net: Decimal


class MilkSold(NamedTuple):
    """Milk of one month with its tests.

    Attributes:
        milk_lb: pounds.
        fat_percent, protein_percent, other_solids_percent: weighted tests; protein is true protein.
        cells_thousand: cells per mL in thousands, or None in an order that does not adjust for them.
    """

    milk_lb: Decimal
    fat_percent: Decimal
    protein_percent: Decimal
    other_solids_percent: Decimal
    cells_thousand: Decimal | None


class Prices(NamedTuple):
    """A month's prices: dollars a pound, and dollars a hundredweight for the last two."""

    butterfat: Decimal
    protein: Decimal
    other_solids: Decimal
    differential: Decimal
    cell_rate: Decimal


def line(key: str, title: str, quantity: Decimal, unit: str, price: Decimal) -> Line:
    """A line whose amount is quantity times price, rounded once to the cent."""
    return Line(key, title, quantity, unit, price, rounded(quantity * price, PER_CWT))


def milk_cheque(milk: MilkSold, prices: Prices, taken_off: Sequence[Line] = ()) -> Cheque:
    """What a month's milk is worth at component prices.

    At least: hundredweights at the differential, pounds of each component at its price, and the cell-count
    adjustment in orders that have one, less what is taken off.

    Args:
        milk: the milk and its tests.
        prices: the month's announced prices, located where the order locates them.
        taken_off: promotion, hauling, dues and the like; see `promotion`.

    Returns:
        The lines, their sum, and the sum less what is taken off.

    References:
        .. [1] 7 CFR 1030.73, 1033.73; the Northeast's 1001.73 has no cell-count line.
    """
    hundredweights = milk.milk_lb / LB_PER_CWT
    earned = [
        line("butterfat", "Butterfat", milk.milk_lb * milk.fat_percent / 100, "lb", prices.butterfat),
        line("protein", "Protein", milk.milk_lb * milk.protein_percent / 100, "lb", prices.protein),
        line(
            "other_solids",
            "Other solids",
            milk.milk_lb * milk.other_solids_percent / 100,
            "lb",
            prices.other_solids,
        ),
        line("differential", "Producer price differential", hundredweights, "cwt", prices.differential),
    ]
    if milk.cells_thousand is not None:
        per_cwt = (CELLS_BASE - milk.cells_thousand) * prices.cell_rate
        earned.append(line("cells", "Cell-count adjustment", hundredweights, "cwt", per_cwt))
    gross = sum((item.amount for item in earned), Decimal(0))
    net = gross - sum((item.amount for item in taken_off), Decimal(0))
    return Cheque(tuple(earned), tuple(taken_off), gross, net)


def promotion(milk_lb: Decimal, per_cwt: Decimal = PROMOTION_PER_CWT) -> Line:
    """The promotion assessment of some milk; 15 cents a hundredweight (7 CFR 1150.152).

    Args:
        milk_lb: pounds.
        per_cwt: dollars a hundredweight.
    """
    return line("promotion", "Promotion", milk_lb / LB_PER_CWT, "cwt", per_cwt)


class ProducerValue(NamedTuple):
    """The amounts of a milk cheque, dollars."""

    butterfat: float
    protein: float
    other_solids: float
    differential: float
    cells: float
    gross: float
    promotion: float
    net: float


def _test(what: str, low: float, high: float) -> Argument:
    return Argument(f"{what}, of milk", "%", low, high, floor=0, ceiling=20)


def _price(what: str, low: float, high: float) -> Argument:
    return Argument(f"{what} price", "dollar/lb", low, high, floor=-1, ceiling=50)


@published(
    "producer-value",
    title="What a farm's milk is worth at component prices",
    subject=SUBJECT,
    formula="gross = milk*fat/100*fat_price + milk*protein/100*protein_price + milk*solids/100*solids_price "
    "+ milk/100*differential + milk/100*(350 - cells/1000)*cell_rate; net = gross - milk/100*promotion; "
    "each line to the cent",
    unit=dict.fromkeys(ProducerValue._fields, "dollar"),
    source=("CFR1030", "CFR1150"),
    arguments={
        "milk": Argument("milk sold", "lb", 100, floor=0),
        "fat": _test("butterfat", 2, 7),
        "protein": _test("true protein", 2, 5),
        "solids": _test("other solids", 5, 6.5),
        "cells": Argument("somatic cells", "1/mL", 20_000, 1_500_000, floor=0),
        "fat_price": _price("butterfat", 0.3, 6),
        "protein_price": _price("protein", 0.3, 6),
        "solids_price": _price("other solids", 0.01, 2),
        "differential": Argument("producer price differential", "dollar/cwt", -10, 6, floor=-30, ceiling=30),
        "cell_rate": Argument("cell-count rate", "dollar/cwt", 0.0002, 0.003, floor=0, ceiling=0.1),
        "promotion_rate": Argument("promotion", "dollar/cwt", 0, 0.2, floor=0, ceiling=5),
    },
    check=Check(
        {
            "milk": 100_000,
            "fat": 3.88,
            "protein": 3.19,
            "solids": 5.74,
            "cells": 200_000,
            "fat_price": 2.5253,
            "protein_price": 2.1768,
            "solids_price": 0.2503,
            "differential": 0.58,
            "cell_rate": 0.00085,
            "promotion_rate": 0.15,
        },
        {
            "butterfat": 9_798.16,
            "protein": 6_943.99,
            "other_solids": 1_436.72,
            "differential": 580.00,
            "cells": 127.50,
            "gross": 18_886.37,
            "promotion": 150.00,
            "net": 18_736.37,
        },
        0.001,
        "derived from the prices and tests of the Mideast pool, January 2017",
    ),
    notes="Before hauling, dues and other contract lines. The market administrator's announcement and the "
    "buyer's statement govern.",
)
def producer_value(
    *,
    milk: float,
    fat: float,
    protein: float,
    solids: float,
    cells: float,
    fat_price: float,
    protein_price: float,
    solids_price: float,
    differential: float,
    cell_rate: float,
    promotion_rate: float = 0.15,
) -> ProducerValue:
    """A cheque's lines from the month's milk, tests and announced prices."""
    sold = MilkSold(exact(milk), exact(fat), exact(protein), exact(solids), exact(cells) / 1000)
    prices = Prices(
        exact(fat_price), exact(protein_price), exact(solids_price), exact(differential), exact(cell_rate)
    )
    cheque = milk_cheque(sold, prices, [promotion(sold.milk_lb, exact(promotion_rate))])
    amounts = {item.key: float(item.amount) for item in cheque.earned + cheque.taken_off}
    return ProducerValue(**amounts, gross=float(cheque.gross), net=float(cheque.net))

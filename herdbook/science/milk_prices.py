"""Component and class prices of the federal orders, from product prices and the formulas of the month."""

from __future__ import annotations

from decimal import Decimal

from herdbook.science.price_formulas import (
    CELL_RATE,
    PER_CWT,
    PER_LB,
    Composition,
    compositions,
    price_sets,
    rounded,
)
from herdbook.science.registry import Argument, Check, published

SUBJECT = "Milk prices"
SETS = ("2000", "2002", "2005", "2007", "2009", "2025")
COMPLETE_SETS = ("2000", "2005", "2009", "2025")  # the others do not print protein and nonfat solids
COMPOSITIONS = ("to November 2025", "from December 2025")
SKIM_SHARE = Decimal("0.965")
FAT_LB = Decimal("3.5")
CLASS_II_OVER = Decimal("0.007")
ANNOUNCEMENT_GOVERNS = "The market administrator's announcement governs, not this figure."

FORMULA_SET = Argument("set of formulas, by the year it is known from", choices=SETS)
COMPLETE_SET = Argument("set of formulas, by the year it is known from", choices=COMPLETE_SETS)
STANDARD_SKIM = Argument("standard composition of skim milk", choices=COMPOSITIONS)


def _per_lb(what: str) -> Argument:
    return Argument(what, "dollar/lb", 0.05, 6, floor=0, ceiling=50)


def exact(value: float) -> Decimal:
    """The decimal a person typed, from its float."""
    return Decimal(repr(float(value)))


def class_III_skim(protein: Decimal, other_solids: Decimal, skim: Composition) -> Decimal:
    """Class III skim price, dollars a hundredweight to the cent."""
    return rounded(protein * skim.protein + other_solids * skim.other_solids, PER_CWT)


def class_IV_skim(nonfat_solids: Decimal, skim: Composition) -> Decimal:
    """Class IV skim price, dollars a hundredweight to the cent."""
    return rounded(nonfat_solids * skim.nonfat_solids, PER_CWT)


def class_price(skim: Decimal, butterfat: Decimal) -> Decimal:
    """Class price at 3.5 % butterfat, dollars a hundredweight to the cent.

    Args:
        skim: skim price, dollars a hundredweight, already rounded to the cent.
        butterfat: butterfat price, dollars a pound, already rounded to four places.
    """
    return rounded(skim * SKIM_SHARE + butterfat * FAT_LB, PER_CWT)


@published(
    "butterfat-price",
    title="Butterfat price from the butter price",
    subject=SUBJECT,
    formula="butterfat = (butter - allowance) * yield, to 4 places",
    unit="dollar/lb",
    source=("ORDER-FORMULAS", "FORMULAS2000", "LANCASTER2000", "A00835"),
    arguments={"butter": _per_lb("butter price"), "formula_set": FORMULA_SET},
    check=(
        Check({"butter": 1.2725, "formula_set": "2000"}, 1.4128, 5e-5, "announced, June 2000"),
        Check({"butter": 2.2568, "formula_set": "2009"}, 2.5253, 5e-5, "announced, January 2017"),
        Check({"butter": 2.4778, "formula_set": "2025"}, 2.7255, 5e-5, "announced, August 2025"),
        Check(
            {"butter": 2.2568, "formula_set": "2025"}, 2.4578, 5e-5, "derived: January 2017 under new rules"
        ),
    ),
    notes=ANNOUNCEMENT_GOVERNS,
)
def butterfat_price(*, butter: float, formula_set: str) -> float:
    """A pound of butterfat, by the make allowance and yield of its time."""
    return float(price_sets()[formula_set].butterfat(exact(butter)))


@published(
    "protein-price",
    title="Protein price from the cheese and butter prices",
    subject=SUBJECT,
    formula="protein = (cheese - allowance)*1.383 + ((cheese - allowance)*1.589 - butterfat*0.91)*1.17, to 4 "
    "places (from June 2025; 1.572 and 0.9 before)",
    unit="dollar/lb",
    source=("ORDER-FORMULAS", "FORMULAS2000", "A00835", "CLS0825"),
    arguments={
        "cheese": _per_lb("cheese price"),
        "butterfat": _per_lb("butterfat price, already rounded"),
        "formula_set": COMPLETE_SET,
    },
    check=(
        Check(
            {"cheese": 1.1137, "butterfat": 1.4128, "formula_set": "2000"},
            1.4278,
            5e-5,
            "announced, June 2000",
        ),
        Check(
            {"cheese": 1.7011, "butterfat": 2.5253, "formula_set": "2009"},
            2.1768,
            5e-5,
            "announced, January 2017",
        ),
        Check(
            {"cheese": 1.7529, "butterfat": 2.7255, "formula_set": "2025"},
            1.9646,
            5e-5,
            "announced, August 2025",
        ),
    ),
    notes=f"Rounded once, at the end. {ANNOUNCEMENT_GOVERNS}",
)
def protein_price(*, cheese: float, butterfat: float, formula_set: str) -> float:
    """A pound of true protein, by the formula of its time."""
    return float(price_sets()[formula_set].protein(exact(cheese), exact(butterfat)))


@published(
    "other-solids-price",
    title="Other solids price from the dry whey price",
    subject=SUBJECT,
    formula="other solids = (dry_whey - allowance) * yield, to 4 places",
    unit="dollar/lb",
    source=("ORDER-FORMULAS", "FORMULAS2000", "LANCASTER2000", "A00835"),
    arguments={"dry_whey": _per_lb("dry whey price"), "formula_set": FORMULA_SET},
    check=(
        Check({"dry_whey": 0.1794, "formula_set": "2000"}, 0.0438, 5e-5, "announced, June 2000"),
        Check({"dry_whey": 0.4421, "formula_set": "2009"}, 0.2503, 5e-5, "announced, January 2017"),
        Check({"dry_whey": 0.5779, "formula_set": "2025"}, 0.3204, 5e-5, "announced, August 2025"),
    ),
    notes=ANNOUNCEMENT_GOVERNS,
)
def other_solids_price(*, dry_whey: float, formula_set: str) -> float:
    """A pound of lactose and minerals, by the make allowance of its time."""
    return float(price_sets()[formula_set].other_solids(exact(dry_whey)))


@published(
    "nonfat-solids-price",
    title="Nonfat solids price from the nonfat dry milk price",
    subject=SUBJECT,
    formula="nonfat solids = (nonfat_dry_milk - allowance) * yield, to 4 places",
    unit="dollar/lb",
    source=("ORDER-FORMULAS", "A00835"),
    arguments={"nonfat_dry_milk": _per_lb("nonfat dry milk price"), "formula_set": COMPLETE_SET},
    check=(
        Check({"nonfat_dry_milk": 1.2820, "formula_set": "2025"}, 1.0323, 5e-5, "announced, August 2025"),
        Check(
            {"nonfat_dry_milk": 1.0229, "formula_set": "2025"},
            0.7758,
            5e-5,
            "derived: January 2017, new rules",
        ),
    ),
    notes=ANNOUNCEMENT_GOVERNS,
)
def nonfat_solids_price(*, nonfat_dry_milk: float, formula_set: str) -> float:
    """A pound of nonfat solids, by the make allowance of its time."""
    return float(price_sets()[formula_set].nonfat_solids(exact(nonfat_dry_milk)))


@published(
    "class-iii-price",
    title="Class III price at 3.5 % butterfat",
    subject=SUBJECT,
    formula="class III = (protein*3.1 + other_solids*5.9, to cents) * 0.965 + butterfat*3.5, to cents "
    "(3.3 and 6.0 from December 2025)",
    unit="dollar/cwt",
    source=("ORDER-FORMULAS", "CLS0825"),
    arguments={
        "protein": _per_lb("protein price"),
        "other_solids": Argument("other solids price", "dollar/lb", 0.01, 2, floor=-1, ceiling=50),
        "butterfat": _per_lb("butterfat price"),
        "composition": STANDARD_SKIM,
    },
    check=(
        Check(
            {"protein": 2.1768, "other_solids": 0.2503, "butterfat": 2.5253, "composition": COMPOSITIONS[0]},
            16.77,
            0.005,
            "announced, January 2017",
        ),
        Check(
            {"protein": 1.9646, "other_solids": 0.3204, "butterfat": 2.7255, "composition": COMPOSITIONS[0]},
            17.24,
            0.005,
            "announced, August 2025",
        ),
        Check(
            {"protein": 2.0817, "other_solids": 0.1806, "butterfat": 2.4578, "composition": COMPOSITIONS[1]},
            16.27,
            0.005,
            "derived: January 2017 under the rules of December 2025",
        ),
    ),
    notes=ANNOUNCEMENT_GOVERNS,
)
def class_III_price(*, protein: float, other_solids: float, butterfat: float, composition: str) -> float:
    """A hundredweight of cheese milk."""
    skim = class_III_skim(exact(protein), exact(other_solids), compositions()[composition])
    return float(class_price(skim, exact(butterfat)))


@published(
    "class-iv-price",
    title="Class IV price at 3.5 % butterfat",
    subject=SUBJECT,
    formula="class IV = (nonfat_solids*9, to cents) * 0.965 + butterfat*3.5, to cents (9.3 from December "
    "2025)",
    unit="dollar/cwt",
    source=("ORDER-FORMULAS", "CLS0825"),
    arguments={
        "nonfat_solids": _per_lb("nonfat solids price"),
        "butterfat": _per_lb("butterfat price"),
        "composition": STANDARD_SKIM,
    },
    check=(
        Check(
            {"nonfat_solids": 1.0323, "butterfat": 2.7255, "composition": COMPOSITIONS[0]},
            18.50,
            0.005,
            "announced, August 2025",
        ),
        Check(
            {"nonfat_solids": 0.7758, "butterfat": 2.4578, "composition": COMPOSITIONS[1]},
            15.56,
            0.005,
            "derived: January 2017 under the rules of December 2025",
        ),
    ),
    notes=ANNOUNCEMENT_GOVERNS,
)
def class_IV_price(*, nonfat_solids: float, butterfat: float, composition: str) -> float:
    """A hundredweight of butter and powder milk."""
    skim = class_IV_skim(exact(nonfat_solids), compositions()[composition])
    return float(class_price(skim, exact(butterfat)))


@published(
    "class-ii-price",
    title="Class II price at 3.5 % butterfat",
    subject=SUBJECT,
    formula="class II = skim*0.965 + (butterfat + 0.007)*3.5, to cents",
    unit="dollar/cwt",
    source=("ORDER-FORMULAS", "MILKBUSINESS2017"),
    arguments={
        "skim": Argument("Class II skim price, from the advance announcement", "dollar/cwt", 1, 40, floor=0),
        "butterfat": _per_lb("butterfat price"),
    },
    check=Check({"skim": 7.77, "butterfat": 2.5253}, 16.36, 0.005, "announced, January 2017"),
    notes=ANNOUNCEMENT_GOVERNS,
)
def class_II_price(*, skim: float, butterfat: float) -> float:
    """A hundredweight of milk for soft products."""
    return float(class_price(exact(skim), rounded(exact(butterfat) + CLASS_II_OVER, PER_LB)))


@published(
    "cell-count-rate",
    title="Money for each 1,000 cells below or above 350,000",
    subject=SUBJECT,
    formula="rate = cheese * 0.0005, to 5 places",
    unit="dollar/cwt",
    source=("ORDER-FORMULAS", "CLS0825"),
    arguments={"cheese": _per_lb("cheese price")},
    check=(
        Check({"cheese": 1.7011}, 0.00085, 5e-6, "announced, January 2017"),
        Check({"cheese": 1.7529}, 0.00088, 5e-6, "announced, August 2025"),
    ),
    notes=f"Paid in the orders that adjust for cells. {ANNOUNCEMENT_GOVERNS}",
)
def cell_count_rate(*, cheese: float) -> float:
    """Adjustment of a hundredweight for each thousand cells away from 350,000."""
    return float(rounded(exact(cheese) * Decimal("0.0005"), CELL_RATE))


@published(
    "cell-count-adjustment",
    title="Cell-count adjustment of a hundredweight",
    subject=SUBJECT,
    formula="adjustment = (350 - cells/1000) * rate",
    unit="dollar/cwt",
    source=("ORDER-FORMULAS", "CELLS2009"),
    arguments={
        "cells": Argument("somatic cells", "1/mL", 20_000, 1_500_000, floor=0),
        "rate": Argument("rate for each 1,000 cells", "dollar/cwt", 0.0002, 0.003, floor=0, ceiling=0.1),
    },
    check=(
        Check({"cells": 200_000, "rate": 0.00085}, 0.1275, 1e-9, "derived: January 2017"),
        Check(
            {"cells": 250_000, "rate": 0.000625}, 0.05 / 0.8, 1e-9, "cheese 1.25: 5 cents a day from 80 lb"
        ),
        Check({"cells": 250_000, "rate": 0.001}, 0.08 / 0.8, 1e-9, "cheese 2.00: 8 cents a day from 80 lb"),
    ),
    notes="Below nought for more than 350,000 cells.",
)
def cell_count_adjustment(*, cells: float, rate: float) -> float:
    """What a hundredweight is worth more for its cells."""
    return float((350 - exact(cells) / 1000) * exact(rate))


@published(
    "uniform-price",
    title="Statistical uniform price at 3.5 % butterfat",
    subject=SUBJECT,
    formula="uniform price = class_III + differential",
    unit="dollar/cwt",
    source="CFR1030",
    arguments={
        "class_III": Argument("Class III price", "dollar/cwt", 5, 40, floor=0),
        "differential": Argument("producer price differential", "dollar/cwt", -10, 6, floor=-30, ceiling=30),
    },
    check=Check({"class_III": 16.77, "differential": 0.58}, 17.35, 1e-9, "derived: January 2017, Mideast"),
    notes="The differential can be below nought; it is not a deduction.",
)
def uniform_price(*, class_III: float, differential: float) -> float:
    """Class III price and producer price differential together."""
    return float(exact(class_III) + exact(differential))


@published(
    "price-per-gallon",
    title="A hundredweight price as a price of the gallon",
    subject=SUBJECT,
    formula="per gallon = price * 0.086",
    unit="dollar/gal",
    source="LYNDEN2019",
    arguments={"price": Argument("milk price", "dollar/cwt", 5, 60, floor=0)},
    check=Check({"price": 17.55}, 1.51, 0.005, "article of August 2019"),
    notes="By the convention of 8.6 lb to the gallon.",
)
def price_per_gallon(*, price: float) -> float:
    """What a gallon brings at a hundredweight price."""
    return price * 0.086

"""What is typed for a feed at the ration desk: an amount, dry matter, a little more or less; and its read-back."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

from herdbook.chores.ground import Ground
from herdbook.chores.measures import ask_per_head, is_dm, without_dm
from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.screens.parts.understood import Understood
from herdbook.units import MASS_MG, parse_number

if TYPE_CHECKING:
    from herdbook.reports.tried import Basis
    from herdbook.reports.what_if import WhatIf

MILLION = 1_000_000
SIGNED = re.compile(r"([+\-−])\s*(.+)")
NOTHING = re.compile(r"0+([.,]0*)? *[a-z]{0,3}")
HOW = "Type 54.5, 17.3dm, +1 or -5%."
HINT = "54.5, 17.3dm, +1, -5%"


def understand_amount(tried: WhatIf, feed: int, text: str, ground: Ground) -> tuple[int, Basis]:
    """The milligrams and basis that a feed gets by typed text.

    `54.5` is as fed and `17.3dm` dry matter; `+1` and `-0.5` change the weight as fed, `+1dm` the dry matter, `-5%`
    either; those keep the basis that the feed is set in. `0` takes it out.

    Raises:
        Refused: the text is no amount, the feed is held, or it has not that much to take away.
    """
    typed = plain(text, longest=60)
    its = tried.feeds[feed]
    basis: Basis = "dry matter" if is_dm(typed) else "as fed"
    if any(row.is_locked for row in tried.rows() if row.feed == feed):
        raise Refused(f"{its.name} is held as it is.", remedy="Space lets it go.", field="amount")
    signed = SIGNED.fullmatch(typed)
    if signed is None:
        if NOTHING.fullmatch(without_dm(typed).lower()):
            return 0, _basis_of(tried, feed)
        return ask_per_head(its.name).understand(typed, ground), basis
    sign = -1 if signed[1] in "-−" else 1
    before_mg, own = _now(tried, feed)
    if signed[2].endswith("%"):
        share = _number(signed[2].removesuffix("%").strip(), its.name, ground) / 100
        after = before_mg * (1 + sign * share)
    else:
        change = sign * ask_per_head(its.name).understand(signed[2], ground)
        after = before_mg + Fraction(change) * _factor(basis, own, its.dry_ppm or 0, its.name)
    if after < 0:
        raise Refused(f"{its.name}: it has not that much to take away.", remedy=HOW, field="amount")
    return round(after), own


def _number(text: str, name: str, ground: Ground) -> Fraction:
    try:
        return parse_number(text, decimal=ground.units.decimal)
    except ValueError:
        raise Refused(f"{name}: {text!r} is not a number.", remedy=HOW, field="amount") from None


def _basis_of(tried: WhatIf, feed: int) -> Basis:
    return next((row.basis for row in tried.rows() if row.feed == feed), "as fed")


def _now(tried: WhatIf, feed: int) -> tuple[int, Basis]:
    return next(((row.mg, row.basis) for row in tried.rows() if row.feed == feed), (0, "as fed"))


def _factor(typed: Basis, own: Basis, dry_ppm: int, name: str) -> Fraction:
    """What a weight on the typed basis is multiplied by to be one on the feed's own."""
    if typed == own:
        return Fraction(1)
    if not dry_ppm:
        raise Refused(f"{name} has no dry matter yet.", remedy="Type it as fed.", field="amount")
    return Fraction(dry_ppm, MILLION) if own == "dry matter" else Fraction(MILLION, dry_ppm)


def read_back(tried: WhatIf, feed: int, text: str, ground: Ground) -> Understood:
    """The typed amount as it will stand; one over the feed's own maximum is asked about."""
    mg, basis = understand_amount(tried, feed, text, ground)
    its = tried.feeds[feed]
    if mg == 0:
        return Understood(value=(mg, basis), shown=f"{its.name} out")
    dry_ppm = its.dry_ppm or 0
    as_fed_mg = mg * MILLION // dry_ppm if basis == "dry matter" and dry_ppm else mg
    fed, dry = _weight(as_fed_mg, ground), _weight(as_fed_mg * dry_ppm // MILLION, ground)
    shown = f"{fed} as fed, {dry} dry matter at {ground.units.number(dry_ppm / 10_000, 1)} %"
    if its.most_mg is not None and as_fed_mg > its.most_mg:
        return Understood(value=(mg, basis), ask=f"over its own maximum of {_weight(its.most_mg, ground)}?")
    return Understood(value=(mg, basis), shown=shown)


def _weight(mg: int, ground: Ground) -> str:
    shown = ground.units.number(MASS_MG.value_in(mg, ground.units.load), 2)
    return f"{shown} {ground.units.load}"

"""The money of the milk: what it is worth from a day on, and the cheques that came in for it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Annotated

from herdbook.book.tables import MilkCheque, MilkPrice
from herdbook.chores.asking import LONGEST_NUMBER, Ask, Words
from herdbook.chores.doing import Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.ground import Ground
from herdbook.chores.measures import PricePerWeight
from herdbook.chores.moments import Day
from herdbook.errors import Refused
from herdbook.units import FarmUnits, parse_number, show_number

MOST_CENTS = 10**11


class PricePerMilk(PricePerWeight):
    """A price of milk, kept in thousandths of a cent a tonne: a month's milk is worth the same to the cent.

    A bare number is per hundredweight or kilogram, as the farm reads.
    """

    PARTS = 1_000

    def per(self, units: FarmUnits) -> str:
        return units.milk_price


@dataclass(frozen=True, slots=True, kw_only=True)
class Money(Ask):
    """An amount of the farm's currency, kept in hundredths."""

    def unit_word(self, units: FarmUnits) -> str:
        return units.currency

    def understand(self, text: str, ground: Ground) -> int:
        typed = self.short(text, LONGEST_NUMBER)
        sign = ground.units.currency
        try:
            amount = parse_number(
                typed.removeprefix(sign).removesuffix(sign).strip(), decimal=ground.units.decimal
            )
        except ValueError:
            raise Refused(
                f"{self.label}: {typed!r} is not an amount of money.",
                remedy="Type an amount such as 18,412.60.",
                field=self.label,
            ) from None
        if amount * 100 != int(amount * 100):
            raise Refused(
                f"{self.label}: {typed!r} has parts of a cent.",
                remedy="Give no more than two decimals.",
                field=self.label,
            )
        self.check(int(amount * 100))
        return int(amount * 100)

    def shown(self, value: int, ground: Ground) -> str:
        return ground.units.money(value)

    def typed_again(self, value: int, ground: Ground) -> str:
        return show_number(Fraction(value, 100), 2, decimal=ground.units.decimal)

    def check(self, value: object) -> None:
        if not isinstance(value, int) or not 0 <= value <= MOST_CENTS:
            raise Refused(
                f"{self.label}: an amount lies from 0 to 1,000,000,000.",
                remedy="Check the figure; what is taken off has a field of its own.",
                field=self.label,
            )


class MilkPriceDraft(ChoreDraft):
    """What milk is worth."""

    price: Annotated[int, PricePerMilk(label="price", help="what the buyer pays, all premiums in it")]
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=60)
    ] = None
    words: Annotated[str, Words(label="words", help="what it rests on: a contract, last month's cheque")] = ""


@chore("milk-price", "the price of milk", MilkPriceDraft, roles=[])
def set_milk_price(doing: Doing, draft: MilkPriceDraft) -> str:
    """Write what milk is worth from a day on."""
    since = draft.since or doing.ground.clock.farm_day(doing.ground.now_s)
    doing.add(MilkPrice(from_day=since.isoformat(), mcents_per_t=draft.price, words=draft.words))
    shown = MilkPriceDraft.asks()["price"].shown(draft.price, doing.ground)
    return f"Milk: {shown} from {since.isoformat()}."


class MilkChequeDraft(ChoreDraft):
    """What came in for the milk of some days."""

    first: Annotated[date, Day(label="first", help="first day of the milk it pays for")]
    last: Annotated[date, Day(label="last", help="last day of the milk it pays for")]
    paid: Annotated[int, Money(label="paid", help="what came in")]
    taken: Annotated[
        int, Money(label="taken off", help="what was taken off before: hauling, dues, advances")
    ] = 0
    received: Annotated[date | None, Day(label="received", help="when it came in; today if not given")] = None
    reference: Annotated[str, Words(label="reference", help="its number", longest=60)] = ""
    words: Annotated[str, Words(label="words", help="anything worth knowing", longest=300)] = ""


@chore("milk-cheque", "a milk cheque", MilkChequeDraft, roles=[])
def write_milk_cheque(doing: Doing, draft: MilkChequeDraft) -> str:
    """Write a milk cheque; one that comes before the milk it pays for is a mistake."""
    received = draft.received or doing.ground.clock.farm_day(doing.ground.now_s)
    if draft.last < draft.first:
        raise Refused(
            f"last: {draft.last.isoformat()} comes before {draft.first.isoformat()}.",
            remedy="Give the first and the last day of the milk it pays for.",
            field="last",
        )
    if received < draft.first:
        raise Refused(
            f"received: {received.isoformat()} comes before the milk it pays for.",
            remedy="Check the days; they are asked for as first, last and received.",
            field="received",
        )
    doing.farm_day = received
    doing.add(
        MilkCheque(
            first_day=draft.first.isoformat(),
            last_day=draft.last.isoformat(),
            received_day=received.isoformat(),
            paid_cents=draft.paid,
            taken_off_cents=draft.taken,
            reference=draft.reference,
            words=draft.words,
        )
    )
    money = doing.ground.units.money
    off = f", {money(draft.taken)} taken off before" if draft.taken else ""
    number = f", {draft.reference}" if draft.reference else ""
    return (
        f"Cheque for {draft.first.isoformat()} to {draft.last.isoformat()}: {money(draft.paid)}{off}{number}."
    )

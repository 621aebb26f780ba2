"""Milk against feed: worth, feed, what is left, and what a cheque says beside it."""

from __future__ import annotations

import pytest

from herdbook.errors import ChoreRefused, Refused
from tests.reports.byre import at, cell, mix, show
from tests.yard import CLEO, Yard

MON, TUE, SUN = "2026-03-02", "2026-03-03", "2026-03-08"


def feed_the_milking_pens(byre: Yard) -> None:
    """3,000 kg of silage at 50 a tonne and 500 kg of grain at 200: 250 for the two milking pens."""
    load = mix(byre, f"{MON} 06:00", "High", "Low", silage=3000, grain=500)
    byre.do("drop", load=load, pen="High", weight="2000")
    byre.do("drop", load=load, pen="Low", weight="1500")


def test_milk_at_its_days_price_less_feed_of_the_milking_pens_is_what_is_left(byre: Yard) -> None:
    feed_the_milking_pens(byre)
    byre.do("milk-price", price="0.47", since=MON)
    at(byre, f"{MON} 10:00").do("pickup", weight="4000")
    at(byre, f"{TUE} 10:00")
    money = show(byre, "money", of=f"{MON}..{MON}")
    assert money.facts["milk_cents"].value == pytest.approx(188_000)  # 4,000 kg at 0.47
    assert money.facts["feed_cents"].value == pytest.approx(25_000)
    assert money.facts["left_cents"].value == pytest.approx(163_000)
    assert money.facts["left_a_cow_cents"].value == pytest.approx(163_000 / 150)
    assert not money.facts["left_cents"].missing
    assert cell(money, "weeks", MON, "left_cents").value == pytest.approx(163_000)


def test_a_new_price_counts_from_its_day_and_milk_without_one_is_missing_not_nought(byre: Yard) -> None:
    for day in (MON, TUE):
        at(byre, f"{day} 10:00").do("pickup", weight="1000")
    nothing = show(byre, "money", of=f"{MON}..{TUE}").facts
    assert nothing["milk_cents"].value is None
    assert nothing["milk_cents"].missing == (f"no price of milk on {MON}", f"no price of milk on {TUE}")
    assert nothing["left_cents"].value is None
    byre.do("milk-price", price="0.40", since=MON)
    byre.do("milk-price", price="0.50", since=TUE)
    assert show(byre, "money", of=f"{MON}..{TUE}").facts["milk_cents"].value == pytest.approx(90_000)


def test_a_cheque_stands_beside_what_its_milk_is_worth(byre: Yard) -> None:
    byre.do("milk-price", price="0.45", since="2026-03-01")
    at(byre, f"{MON} 10:00").do("pickup", weight="10000")
    at(byre, f"{SUN} 12:00")
    said = byre.do("milk-cheque", first=MON, last=SUN, paid="4,300", taken="150.50", reference="C 7").said
    assert said == f"Cheque for {MON} to {SUN}: $4,300.00, $150.50 taken off before, C 7."
    byre.do("milk-cheque", first=MON, last=SUN, paid="100")
    money = show(byre, "money", of=f"{MON}..{SUN}")
    row = f"{MON}..{SUN}"
    assert cell(money, "cheques", row, "milk_cents").value == pytest.approx(450_000)
    assert cell(money, "cheques", row, "off_cents").value == pytest.approx(445_050 - 450_000)
    assert cell(money, "cheques", f"{row} 2", "paid_cents").value == 10_000


def test_a_price_per_hundredweight_is_kept_to_the_cent_of_a_months_milk(yard: Yard) -> None:
    yard.do("milk-price", price="21.37", since="2026-03-01")
    yard.do("pickup", weight="20,000 lb", picked="-30")
    worth = show(yard, "money", of="today").facts["milk_cents"]
    assert worth.value == pytest.approx(200 * 2_137, abs=0.05)  # weights are kept to the gram


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"last": "2026-03-01"}, "last: 2026-03-01 comes before 2026-03-02."),
        ({"received": "2026-02-28"}, "received: 2026-02-28 comes before the milk it pays for."),
        ({"paid": "12.345"}, "paid: '12.345' has parts of a cent."),
        ({"paid": "-5"}, "paid"),
        ({"paid": "lots"}, "paid: 'lots' is not an amount of money."),
    ],
)
def test_a_cheque_that_cannot_be_is_refused_by_its_field(
    byre: Yard, changes: dict[str, str], words: str
) -> None:
    at(byre, f"{SUN} 12:00")
    before = byre.state()
    with pytest.raises(Refused) as refused:
        byre.do("milk-cheque", **({"first": MON, "last": SUN, "paid": "4300"} | changes))
    assert words in str(refused.value)
    assert byre.state() == before


def test_money_is_the_owners(byre: Yard) -> None:
    with pytest.raises(ChoreRefused, match="may not write this"):
        byre.do("milk-price", price="0.45", by=CLEO)

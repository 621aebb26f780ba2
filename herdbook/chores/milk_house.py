"""In the milk house: tanks, their temperatures and pickups."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated

from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.rows import first, stands
from herdbook.book.tables import (
    Pickup,
    PickupTicket,
    StickMark,
    Tank,
    TankCard,
    Temperature,
)
from herdbook.chores.asking import Name, Words, YesNo
from herdbook.chores.choosing import only_one
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.ground import Ground
from herdbook.chores.held_back import kept_out, see_not_blocked
from herdbook.chores.measures import ask_stick, ask_warmth, ask_weight
from herdbook.chores.moments import Moment
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import ChoreRefused, Refused
from herdbook.science.stick_chart import StickChart


class TankDraft(ChoreDraft):
    """A bulk tank and its stick chart."""

    name: Annotated[str, Words(label="name", help="as the milk house calls it", least=1, longest=60)]
    holds: Annotated[int, ask_weight("holds", help="the most it holds")]
    mark: Annotated[
        list[tuple[int, int, str]],
        Several(
            label="mark",
            help="stick=weight of its chart, repeated",
            each=Pair(label="mark", first=ask_stick("stick"), second=ask_weight("weight", least_g=0)),
            most=500,
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)


@chore("tank", "a bulk tank", TankDraft, roles=[HAND])
def add_tank(doing: Doing, draft: TankDraft) -> str:
    """Write a tank with its chart; stick and weight must both rise."""
    doing.free_name("tank", draft.name)
    marks = sorted((um, grams) for um, grams, _ in draft.mark)
    for (um, grams), (next_um, next_grams) in pairwise(marks):
        if next_um == um or next_grams <= grams:
            raise Refused(
                "mark: stick and weight must both rise from line to line.",
                remedy="Check the chart.",
                field="mark",
            )
    if marks and marks[-1][1] > draft.holds:
        raise Refused("mark: the chart holds more than the tank.", remedy="Check `holds`.", field="mark")
    tank = doing.identity(Tank, "tank_card")
    doing.add(TankCard(tank=tank, name=draft.name, capacity_g=draft.holds))
    for um, grams in marks:
        doing.add(StickMark(tank=tank, stick_um=um, milk_g=grams))
    return f"Tank {draft.name}, holds {doing.farm.units.mass(draft.holds)}, {len(marks)} lines of chart."


class TemperatureDraft(ChoreDraft):
    """A reading of a tank's milk."""

    AS_TYPED = {"typed": "reading"}  # noqa: RUF012 (the base says ClassVar)

    reading: Annotated[int, ask_warmth("temperature", help="what the thermometer says")]
    tank: Annotated[
        int | None, Name(label="tank", help="which tank; needed where there are several", thing="tank")
    ] = None
    read: Annotated[int | None, Moment(label="read", help="when; now if not given")] = None
    agitator: Annotated[bool | None, YesNo(label="agitator", help="whether the agitator had run")] = None
    typed: Annotated[
        str, Words(label="typed", help="the reading as it was typed; filled in by itself", longest=60)
    ] = ""
    source: Annotated[str, Words(label="source", help="thermometer or logger", longest=60)] = "by hand"


@chore("temperature", "a tank temperature", TemperatureDraft, roles=[HAND])
def record_temperature(doing: Doing, draft: TemperatureDraft) -> str:
    """Write a tank temperature."""
    tank = only_one(doing, "tank", draft.tank)
    read_at = draft.read or doing.ground.now_s
    doing.farm_day = doing.ground.clock.farm_day(read_at)
    doing.add(
        Temperature(
            tank=tank,
            read_at=read_at,
            tank_mC=draft.reading,
            typed=draft.typed or TemperatureDraft.asks()["reading"].typed_again(draft.reading, doing.ground),
            source=draft.source,
            agitator=draft.agitator,
        )
    )
    reading, time = doing.farm.units.temperature(draft.reading), doing.ground.clock.shown_time(read_at)
    return f"{doing.ground.name_of('tank', tank)} {reading} at {time}."


class PickupDraft(ChoreDraft):
    """Milk handed to a hauler: by weight, or by the stick through the tank's chart."""

    tank: Annotated[
        int | None, Name(label="tank", help="which tank; needed where there are several", thing="tank")
    ] = None
    weight: Annotated[int | None, ask_weight("weight", help="pounds or kilograms on the ticket")] = None
    stick: Annotated[
        int | None, ask_stick("stick", help="stick reading, instead of the weight or beside it")
    ] = None
    temperature: Annotated[
        int | None, ask_warmth("temperature", help="what the hauler's thermometer said")
    ] = None
    ticket: Annotated[str, Words(label="ticket", help="its number", longest=60)] = ""
    hauler: Annotated[str, Words(label="hauler", help="who came", longest=60)] = ""
    picked: Annotated[int | None, Moment(label="picked up", help="when; now if not given")] = None
    emptied: Annotated[bool, YesNo(label="emptied", help="whether the tank was left empty")] = True


@chore("pickup", "a milk pickup", PickupDraft, roles=[HAND])
def record_pickup(doing: Doing, draft: PickupDraft) -> str:
    """Write a pickup; by the stick alone, the weight comes from the tank's chart."""
    tank = only_one(doing, "tank", draft.tank)
    card = next(known for known in read_milk.tanks(doing.book) if known.tank == tank)
    charted_g = None if draft.stick is None else by_chart(card, draft.stick, doing.ground)
    milk_g = draft.weight if draft.weight is not None else charted_g
    if milk_g is None:
        raise Refused(
            "weight: neither a weight nor a stick reading was given.",
            remedy="Give one of the two.",
            field="weight",
        )
    if milk_g < 1:
        raise Refused("weight: an empty tank is not picked up.", remedy="Check the stick.", field="weight")
    if milk_g > card.capacity_g:
        raise Refused(
            f"weight: {doing.farm.units.mass(milk_g)} is more than "
            f"the tank's {doing.farm.units.mass(card.capacity_g)}.",
            remedy="Check the ticket.",
            field="weight",
        )
    picked_at = draft.picked or doing.ground.now_s
    see_not_blocked(doing, tank, picked_at)
    _see_ticket_is_new(doing, draft.ticket)
    doing.farm_day = doing.ground.clock.farm_day(picked_at)
    pickup = doing.identity(Pickup, "pickup_ticket")
    doing.add(
        PickupTicket(
            pickup=pickup,
            tank=tank,
            picked_at=picked_at,
            milk_g=milk_g,
            stick_um=draft.stick,
            tank_mC=draft.temperature,
            ticket=draft.ticket,
            hauler=draft.hauler,
            emptied=draft.emptied,
        )
    )
    gap = ""
    if charted_g and draft.weight is not None:
        gap = f", {(draft.weight - charted_g) / charted_g * 100:+.2f} % against the chart"
    ticket = f", ticket {draft.ticket}" if draft.ticket else ""
    return f"Pickup {doing.farm.units.mass(milk_g)}{gap}{ticket}.{kept_out(doing, picked_at)}"


def by_chart(card: read_milk.TankRow, stick_um: int, ground: Ground) -> int:
    """Grams in a tank at a stick reading, by its own chart.

    Raises:
        ChoreRefused: the tank has no chart.
        Refused: the reading lies off the chart; its ends are named in the farm's unit.
    """
    if len(card.chart) < 2:
        raise ChoreRefused(
            f"{card.name} has no stick chart.", remedy="Give the weight, or write the chart with the tank."
        )
    try:
        return round(StickChart.of(card.chart).amount(stick_um))
    except Refused:
        stick = ask_stick("stick")
        read, low, high = (
            stick.shown_short(um, ground) for um in (stick_um, card.chart[0][0], card.chart[-1][0])
        )
        raise Refused(
            f"stick: {read} is off the chart of {card.name}, which goes from {low} to {high}.",
            remedy="Read the stick again; a tank is not filled above its calibrated range.",
            field="stick",
        ) from None


def _see_ticket_is_new(doing: Doing, ticket: str) -> None:
    if not ticket:
        return
    before = first(
        doing.book,
        f"SELECT pickup_ticket.entry FROM pickup_ticket {stands('pickup_ticket')} "
        "WHERE ticket = ? AND pickup_ticket.entry IS NOT ?",
        ticket,
        doing.corrects,
    )
    if before is not None:
        raise Refused(
            f"ticket: {ticket} was written before, in entry {before['entry']}.",
            remedy="Check the number.",
            field="ticket",
        )

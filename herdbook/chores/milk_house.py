"""In the milk house: tanks, milkings, temperatures and pickups."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated

from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.rows import first, stands
from herdbook.book.tables import (
    Milking,
    MilkingEnd,
    MilkingStart,
    Pickup,
    PickupTicket,
    StickMark,
    Tank,
    TankCard,
    Temperature,
)
from herdbook.chores.asking import Count, Name, Words, YesNo
from herdbook.chores.choosing import only_one
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.measures import ask_stick, ask_warmth, ask_weight
from herdbook.chores.moments import Moment
from herdbook.chores.repeated import Pair, Several
from herdbook.clock import span_words
from herdbook.errors import ChoreRefused, Refused
from herdbook.science.stick_chart import StickChart

LONGEST_MILKING_S = 24 * 3600
"""A milking may not last longer; robots milk without an end and are written day by day (from memory)."""


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


class MilkingDraft(ChoreDraft):
    """A milking of the herd into a tank; its end may be written later with `milked`."""

    tank: Annotated[
        int | None, Name(label="tank", help="into which tank; needed where there are several", thing="tank")
    ] = None
    started: Annotated[
        int | None, Moment(label="started", help="when the first cow was on; now if not given")
    ] = None
    ended: Annotated[int | None, Moment(label="ended", help="when the last cow was off")] = None
    cows: Annotated[
        int | None, Count(label="cows", help="how many were milked into the tank", noun="cows", most=20_000)
    ] = None
    milk: Annotated[int | None, ask_weight("milk", help="milk of this milking, where it is known")] = None


@chore("milking", "a milking", MilkingDraft, roles=[HAND])
def start_milking(doing: Doing, draft: MilkingDraft) -> str:
    """Write when a milking began, and when it ended where that is known."""
    tank = only_one(doing, "tank", draft.tank)
    started_at = draft.started or doing.ground.now_s
    _see_free(doing, tank, started_at, draft.ended)
    milking = doing.identity(Milking, "milking_start")
    _see_end_fits(doing, milking, started_at, draft)
    doing.add(MilkingStart(milking=milking, tank=tank, started_at=started_at))
    doing.farm_day = doing.ground.clock.farm_day(started_at)
    words = f"Milking from {doing.ground.clock.shown_time(started_at)}"
    if draft.ended is None:
        if draft.cows is not None or draft.milk is not None:
            raise Refused(
                "ended: cows and milk are known at the end.",
                remedy="Give `ended`, or leave them out.",
                field="ended",
            )
        return f"{words}."
    _add_end(doing, milking, started_at, draft.ended, draft.cows, draft.milk)
    return (
        f"{words} to {doing.ground.clock.shown_time(draft.ended)}{_counted(doing, draft.cows, draft.milk)}."
    )


class MilkedDraft(ChoreDraft):
    """The end of the milking that is running."""

    tank: Annotated[
        int | None, Name(label="tank", help="into which tank; needed where there are several", thing="tank")
    ] = None
    ended: Annotated[
        int | None, Moment(label="ended", help="when the last cow was off; now if not given")
    ] = None
    cows: Annotated[
        int | None, Count(label="cows", help="how many were milked into the tank", noun="cows", most=20_000)
    ] = None
    milk: Annotated[int | None, ask_weight("milk", help="milk of this milking, where it is known")] = None


@chore("milked", "the end of a milking", MilkedDraft, roles=[HAND])
def end_milking(doing: Doing, draft: MilkedDraft) -> str:
    """Write when the running milking ended."""
    tank = only_one(doing, "tank", draft.tank)
    running = read_milk.open_milking(doing.book, tank)
    if doing.corrects is not None:
        running = _ended_by_corrected(doing)
    if running is None:
        raise ChoreRefused(
            "No milking is running into this tank.", remedy="Write its start first: `herdbook write milking`."
        )
    ended_at = draft.ended or doing.ground.now_s
    _add_end(doing, running.milking, running.started_at, ended_at, draft.cows, draft.milk)
    doing.farm_day = doing.ground.clock.farm_day(running.started_at)
    clock = doing.ground.clock
    return (
        f"Milking {clock.shown_time(running.started_at)} to {clock.shown_time(ended_at)}"
        f"{_counted(doing, draft.cows, draft.milk)}."
    )


def _ended_by_corrected(doing: Doing) -> read_milk.MilkingRow | None:
    from herdbook.book.reading.entries import rows_of

    assert doing.corrects is not None
    before = rows_of(doing.book, doing.corrects).get("milking_end")
    return read_milk.milking_by_id(doing.book, before[0]["milking"]) if before else None


def _see_end_fits(doing: Doing, milking: int, started_at: int, draft: MilkingDraft) -> None:
    """When a start is corrected whose end was written by itself, the end stays where it is."""
    if doing.corrects is None:
        return
    known = read_milk.milking_by_id(doing.book, milking)
    if known is None or known.end_entry is None or known.end_entry == doing.corrects:
        return
    if draft.ended is not None:
        raise Refused(
            f"ended: the end of this milking stands in entry {known.end_entry}.",
            remedy=f"Leave it out, or correct entry {known.end_entry}.",
            field="ended",
        )
    if known.ended_at is not None and started_at >= known.ended_at:
        raise Refused(
            f"started: the milking ended at {doing.ground.clock.shown(known.ended_at)}.",
            remedy=f"Type an earlier time, or correct entry {known.end_entry} first.",
            field="started",
        )


def _counted(doing: Doing, cows: int | None, milk_g: int | None) -> str:
    words = [] if cows is None else [f"{cows} cows"]
    words += [] if milk_g is None else [doing.farm.units.mass(milk_g)]
    return f", {', '.join(words)}" if words else ""


def _add_end(
    doing: Doing, milking: int, started_at: int, ended_at: int, cows: int | None, milk_g: int | None
) -> None:
    if ended_at <= started_at:
        raise Refused(
            f"ended: {doing.ground.clock.shown(ended_at)} is not after "
            f"the start at {doing.ground.clock.shown(started_at)}.",
            remedy="Type when the last cow was off.",
            field="ended",
        )
    if ended_at - started_at > LONGEST_MILKING_S:
        raise Refused(
            f"ended: that makes a milking of {span_words(ended_at - started_at)}.",
            remedy="Check the day.",
            field="ended",
        )
    doing.add(MilkingEnd(milking=milking, ended_at=ended_at, cows=cows, milk_g=milk_g))


def _see_free(doing: Doing, tank: int, started_at: int, ended_at: int | None) -> None:
    """Refuse a milking that overlaps another into the same tank."""
    near = read_milk.milkings(
        doing.book, tank, started_at - 2 * LONGEST_MILKING_S, started_at + 2 * LONGEST_MILKING_S
    )
    for other in near:
        if doing.corrects is not None and other.entry == doing.corrects:
            continue
        other_end = other.ended_at if other.ended_at is not None else 2**40
        if started_at < other_end and (ended_at if ended_at is not None else 2**40) > other.started_at:
            open_end = (
                "has not ended yet"
                if other.ended_at is None
                else f"lasted to {doing.ground.clock.shown(other.ended_at)}"
            )
            raise ChoreRefused(
                f"The milking that began {doing.ground.clock.shown(other.started_at)} {open_end}.",
                remedy=f"End it with `herdbook write milked`, or correct entry {other.entry}.",
            )


class TemperatureDraft(ChoreDraft):
    """A reading of a tank's milk."""

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
    by_chart = None if draft.stick is None else _by_chart(card, draft.stick)
    milk_g = draft.weight if draft.weight is not None else by_chart
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
    _see_ticket_is_new(doing, draft.ticket)
    picked_at = draft.picked or doing.ground.now_s
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
    if by_chart and draft.weight is not None:
        gap = f", {(draft.weight - by_chart) / by_chart * 100:+.2f} % against the chart"
    ticket = f", ticket {draft.ticket}" if draft.ticket else ""
    return f"Pickup {doing.farm.units.mass(milk_g)}{gap}{ticket}."


def _by_chart(card: read_milk.TankRow, stick_um: int) -> int:
    if not card.chart:
        raise ChoreRefused(
            f"{card.name} has no stick chart.", remedy="Give the weight, or write the chart with the tank."
        )
    return round(StickChart.of(card.chart).amount(stick_um))


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

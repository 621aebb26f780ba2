"""Treated cows: what was given, and until when the label or the veterinarian says her milk stays out."""

from __future__ import annotations

from typing import Annotated

from herdbook.book.reading import held as read_held
from herdbook.book.reading import milk as read_milk
from herdbook.book.tables import Treatment, TreatmentCard, TreatmentDose, TreatmentOver
from herdbook.chores.asking import Name, Word, Words
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.moments import Moment
from herdbook.chores.repeated import Several
from herdbook.chores.stated_hours import StatedHours
from herdbook.clock import span_words
from herdbook.errors import ChoreRefused, Refused

LABEL, VETERINARIAN = "label", "veterinarian"


class TreatmentDraft(ChoreDraft):
    """A cow treated, with the withholding hours that the label or the veterinarian states."""

    cow: Annotated[str, Words(label="cow", help="her number", least=1, longest=30)]
    drug: Annotated[str, Words(label="drug", help="as its label names it", least=1, longest=120)]
    milk: Annotated[
        int, StatedHours(label="milk", help="hours the milk stays out, as stated; 0 if so stated")
    ]
    meat: Annotated[int, StatedHours(label="meat", help="hours (4 d: days) before slaughter, as stated")]
    hours_from: Annotated[
        str,
        Word(label="hours from", help="who states these hours", words=(LABEL, VETERINARIAN)),
    ]
    given: Annotated[
        list[int],
        Several(
            label="given", help="each time it was given; now if not", each=Moment(label="given"), most=40
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    amount: Annotated[str, Words(label="amount", help="as written: 1 tube a quarter", longest=120)] = ""
    route: Annotated[str, Words(label="route", help="how it was given, as written", longest=120)] = ""
    reason: Annotated[str, Words(label="reason", help="disease or reason", longest=300)] = ""
    given_by: Annotated[
        str, Words(label="given by", help="who gave it; who writes, if not given", longest=60)
    ] = ""
    ordered: Annotated[
        str, Words(label="ordered by", help="the veterinarian who ordered it", longest=120)
    ] = ""
    order: Annotated[str, Words(label="order", help="number of the prescription", longest=60)] = ""
    label_words: Annotated[
        str,
        Words(
            label="as stated",
            help="the withholding in its own words, such as a count of milkings",
            longest=300,
        ),
    ] = ""


@chore("treatment", "a treated cow", TreatmentDraft, roles=[HAND])
def treat_cow(doing: Doing, draft: TreatmentDraft) -> str:
    """Write a treatment; her milk is held back until the stated hours after the last dose are over."""
    if draft.hours_from == VETERINARIAN and not draft.ordered:
        raise Refused(
            "ordered by: hours from a veterinarian need the veterinarian's name.",
            remedy="Give who ordered it, or take the hours of the label.",
            field="ordered by",
        )
    doses = sorted(draft.given or [doing.ground.now_s])
    if len(set(doses)) < len(doses):
        raise Refused("given: the same time stands twice.", remedy="Give each dose once.", field="given")
    treatment = doing.identity(Treatment, "treatment_card")
    _see_end_stands(doing, treatment, doses[0])
    doing.farm_day = doing.ground.clock.farm_day(doses[-1])
    doing.add(
        TreatmentCard(
            treatment=treatment,
            cow=draft.cow,
            drug=draft.drug,
            amount=draft.amount,
            route=draft.route,
            reason=draft.reason,
            given_by=draft.given_by or doing.who.name,
            ordered_by=draft.ordered,
            order_number=draft.order,
            milk_h=draft.milk,
            meat_h=draft.meat,
            hours_from=draft.hours_from,
            label_words=draft.label_words,
            last_given_at=doses[-1],
        )
    )
    for given_at in doses:
        doing.add(TreatmentDose(treatment=treatment, given_at=given_at))
    return _said(doing, draft, doses)


def _see_end_stands(doing: Doing, treatment: int, first_given_s: int) -> None:
    """A corrected treatment whose end was written must still begin before that end."""
    known = {one.treatment: one for one in read_held.treatments(doing.book)}.get(treatment)
    if known is not None and known.over is not None and first_given_s >= known.over["back_at"]:
        raise Refused(
            f"given: her milk went back at {doing.ground.clock.shown(known.over['back_at'])}.",
            remedy=f"Correct entry {known.over['entry']} first.",
            field="given",
        )


def _said(doing: Doing, draft: TreatmentDraft, doses: list[int]) -> str:
    clock, last_s = doing.ground.clock, doses[-1]
    times = f"last of {len(doses)} given" if len(doses) > 1 else "given"
    said = f"Cow {draft.cow}: {draft.drug}, {times} {clock.shown(last_s)}. "
    stated = f"by the {draft.hours_from}"
    said += (
        f"Her milk stays out until {clock.shown(last_s + draft.milk * 3600)} ({draft.milk} h {stated})"
        if draft.milk
        else f"No hours for milk {stated}"
    )
    said += f", meat until {clock.shown(last_s + draft.meat * 3600)}." if draft.meat else ", none for meat."
    if draft.milk and _was_milked_since(doing, doses[0]):
        said += " Cows were milked since: if her milk went into a tank, write held-milk-in at once."
    return said


def _was_milked_since(doing: Doing, first_given_s: int) -> bool:
    return any(
        (one.ended_at or doing.ground.now_s) > first_given_s
        for tank in read_milk.tanks(doing.book)
        for one in read_milk.milkings(doing.book, tank.tank, first_given_s - 86_400, doing.ground.now_s + 1)
    )


class MilkBackDraft(ChoreDraft):
    """A treated cow's milk goes back into the tank."""

    treatment: Annotated[
        int, Name(label="treatment", help="the cow's number, or cow and drug", thing="treatment")
    ]
    back: Annotated[int | None, Moment(label="back", help="first milking that goes in; now if not given")] = (
        None
    )
    reason: Annotated[
        str,
        Words(label="reason", help="needed before the stated end: who allowed it, and why", longest=300),
    ] = ""


@chore("milk-back", "a treated cow's milk back in the tank", MilkBackDraft, roles=[HAND])
def milk_goes_back(doing: Doing, draft: MilkBackDraft) -> str:
    """Write when her milk went back; before the stated end only with a written reason."""
    known = {one.treatment: one for one in read_held.treatments(doing.book)}.get(draft.treatment)
    if known is None:
        raise ChoreRefused("That treatment does not stand any more.", remedy="See `herdbook show held`.")
    if known.over is not None and known.over["entry"] != doing.corrects:
        raise Refused(
            f"treatment: entry {known.over['entry']} says already when her milk went back.",
            remedy="Correct that entry.",
            field="treatment",
        )
    back_at, clock = draft.back or doing.ground.now_s, doing.ground.clock
    if back_at <= known.doses[0]:
        raise Refused(
            f"back: that is not after it was first given, {clock.shown(known.doses[0])}.",
            remedy="Check the time.",
            field="back",
        )
    early_s = known.milk_until_s - back_at
    if early_s > 0 and not draft.reason:
        raise Refused(
            f"reason: the {known.card['hours_from']}'s hours run until {clock.shown(known.milk_until_s)}.",
            remedy="Keep her milk out, or write who allowed it to end early and why.",
            field="reason",
        )
    doing.farm_day = clock.farm_day(back_at)
    doing.add(TreatmentOver(treatment=draft.treatment, back_at=back_at, reason=draft.reason))
    said = f"Cow {known.cow}, {known.card['drug']}: milk back from {clock.shown(back_at)}"
    if early_s > 0:
        said += f", {span_words(early_s)} before the stated end: {draft.reason}"
    return f"{said}."

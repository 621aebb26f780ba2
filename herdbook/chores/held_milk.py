"""Held milk that went into a tank, and what frees the tank again: a clear result, or pouring it away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any

from herdbook.book.reading import held as read_held
from herdbook.book.reading import milk as read_milk
from herdbook.book.tables import HeldMilk, MilkDump, MilkTest
from herdbook.chores.asking import Name, Word, Words, YesNo
from herdbook.chores.choosing import only_one
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.held_back import CALL_THE_BUYER
from herdbook.chores.measures import ask_weight
from herdbook.chores.moments import Moment
from herdbook.errors import Refused

RESULTS = (read_held.CLEAR, read_held.NOT_CLEAR)


class HeldMilkInDraft(ChoreDraft):
    """Milk of a treated cow that went into a tank."""

    tank: Annotated[
        int | None, Name(label="tank", help="into which tank; needed where there are several", thing="tank")
    ] = None
    cow: Annotated[str, Words(label="cow", help="whose milk", least=1, longest=30)]
    went: Annotated[int | None, Moment(label="went in", help="when; now if not given")] = None
    milk: Annotated[int | None, ask_weight("milk", help="about how much")] = None
    words: Annotated[str, Words(label="words", help="how it happened", longest=300)] = ""


@chore("held-milk-in", "held milk went into a tank", HeldMilkInDraft, roles=[HAND])
def held_milk_went_in(doing: Doing, draft: HeldMilkInDraft) -> str:
    """Write that held milk went into a tank: it is blocked until a clear result or until it is poured away."""
    tank = only_one(doing, "tank", draft.tank)
    went_at, clock = draft.went or doing.ground.now_s, doing.ground.clock
    doing.farm_day = clock.farm_day(went_at)
    doing.add(HeldMilk(tank=tank, cow=draft.cow, went_at=went_at, milk_g=draft.milk, words=draft.words))
    name = doing.ground.name_of("tank", tank)
    about = "" if draft.milk is None else f", about {doing.farm.units.mass(draft.milk)}"
    said = f"Held milk of cow {draft.cow} went into {name} {clock.shown(went_at)}{about}. {name} is blocked. "
    left = read_milk.pickups(doing.book, went_at, doing.ground.now_s + 1, tank)
    if left:
        return f"{said}A pickup left at {clock.shown(left[0]['picked_at'])} with it: {CALL_THE_BUYER}"
    return f"{said}{CALL_THE_BUYER}"


class MilkTestDraft(ChoreDraft):
    """What a laboratory or the buyer found in a tank's milk."""

    tank: Annotated[
        int | None, Name(label="tank", help="which tank; needed where there are several", thing="tank")
    ] = None
    result: Annotated[str, Word(label="result", help="as they say it", words=RESULTS)]
    told: Annotated[str, Words(label="told by", help="the laboratory or buyer", least=1, longest=120)]
    sampled: Annotated[
        int | None, Moment(label="sampled", help="when the sample was taken; now if not given")
    ] = None
    number: Annotated[str, Words(label="number", help="of the sample or result", longest=60)] = ""
    words: Annotated[str, Words(label="words", help="the result as they word it", longest=300)] = ""


@chore("milk-test", "a test of a tank's milk", MilkTestDraft, roles=[HAND])
def test_milk(doing: Doing, draft: MilkTestDraft) -> str:
    """Write a result; a clear one of a sample taken since frees a blocked tank."""
    tank = only_one(doing, "tank", draft.tank)
    sampled_at, clock = draft.sampled or doing.ground.now_s, doing.ground.clock
    doing.farm_day = clock.farm_day(sampled_at)
    doing.add(
        MilkTest(
            tank=tank,
            sampled_at=sampled_at,
            result=draft.result,
            words=draft.words,
            told_by=draft.told,
            number=draft.number,
        )
    )
    name = doing.ground.name_of("tank", tank)
    number = f", number {draft.number}" if draft.number else ""
    said = f"{name}, sample of {clock.shown(sampled_at)}: {draft.result}, by {draft.told}{number}."
    if doing.corrects is not None or not read_held.blocking(doing.book, tank, doing.ground.now_s):
        return said
    still = read_held.blocking(doing.book, tank, doing.ground.now_s, result=(sampled_at, draft.result))
    return said + _block_words(doing, still, name)


def _block_words(doing: Doing, still: Sequence[Any], name: str) -> str:
    if not still:
        return f" {name} is not blocked any more."
    went = doing.ground.clock.shown(still[-1]["went_at"])
    return f" {name} stays blocked: held milk went in {went}. {CALL_THE_BUYER}"


class DumpDraft(ChoreDraft):
    """Milk of a tank poured away."""

    tank: Annotated[
        int | None, Name(label="tank", help="which tank; needed where there are several", thing="tank")
    ] = None
    milk: Annotated[int, ask_weight("milk", help="how much was poured away")]
    reason: Annotated[str, Words(label="reason", help="why", least=1, longest=300)]
    dumped: Annotated[int | None, Moment(label="poured", help="when; now if not given")] = None
    emptied: Annotated[bool, YesNo(label="emptied", help="whether the tank was left empty")] = True


@chore("dump", "milk poured away", DumpDraft, roles=[HAND])
def dump_milk(doing: Doing, draft: DumpDraft) -> str:
    """Write milk poured away; an emptied tank is not blocked any more."""
    tank = only_one(doing, "tank", draft.tank)
    card = next(known for known in read_milk.tanks(doing.book) if known.tank == tank)
    if draft.milk > card.capacity_g:
        raise Refused(
            f"milk: {doing.farm.units.mass(draft.milk)} is more than "
            f"the tank's {doing.farm.units.mass(card.capacity_g)}.",
            remedy="Check the amount.",
            field="milk",
        )
    dumped_at, clock = draft.dumped or doing.ground.now_s, doing.ground.clock
    doing.farm_day = clock.farm_day(dumped_at)
    doing.add(
        MilkDump(
            tank=tank, dumped_at=dumped_at, milk_g=draft.milk, reason=draft.reason, emptied=draft.emptied
        )
    )
    rest = "tank empty" if draft.emptied else "milk left in the tank"
    said = f"{doing.farm.units.mass(draft.milk)} of {card.name} poured away {clock.shown(dumped_at)}, {rest}"
    said = f"{said}: {draft.reason}."
    now_s = max(doing.ground.now_s, dumped_at)
    if doing.corrects is not None or not read_held.blocking(doing.book, tank, now_s):
        return said
    poured_s = dumped_at if draft.emptied else None
    return said + _block_words(
        doing, read_held.blocking(doing.book, tank, now_s, poured_s=poured_s), card.name
    )

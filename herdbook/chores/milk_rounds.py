"""The milk house's rounds: a tank's level, a thermometer checked, a wash, and how long milk may stay in the tank."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from herdbook.book.reading import milk as read_milk
from herdbook.book.reading.milk_rounds import BY_HAND, EMPTYING
from herdbook.book.tables import FarmChoice, TankLevel, ThermometerCheck, Wash
from herdbook.chores.asking import Name, Word, Words
from herdbook.chores.choosing import only_one
from herdbook.chores.doing import HAND, OWNER, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.measures import Measure, ask_stick, ask_warmth, ask_weight
from herdbook.chores.milk_house import by_chart
from herdbook.chores.moments import Day, Moment
from herdbook.chores.repeated import Several
from herdbook.chores.thermometer_words import error_words
from herdbook.chores.wash_cautions import wash_caution
from herdbook.errors import Refused
from herdbook.science.emptying import emptying_rules
from herdbook.science.thermometer_check import thermometer_is_off
from herdbook.units import TEMPERATURE_MC

TANK, PIPELINE = "tank", "pipeline"
STEPS = ("rinse", "detergent", "acid", "sanitizer", "drain")


class LevelDraft(ChoreDraft):
    """How much milk is in a tank: by the stick through its chart, or by a meter."""

    tank: Annotated[
        int | None, Name(label="tank", help="which tank; needed where there are several", thing="tank")
    ] = None
    stick: Annotated[int | None, ask_stick("stick", help="stick reading, through the tank's own chart")] = (
        None
    )
    milk: Annotated[int | None, ask_weight("milk", help="by a meter, instead of the stick", least_g=0)] = None
    read: Annotated[int | None, Moment(label="read", help="when; now if not given")] = None


@chore("level", "the level of a tank", LevelDraft, roles=[HAND])
def read_level(doing: Doing, draft: LevelDraft) -> str:
    """Write a tank's level; what is held is counted from it on."""
    tank = only_one(doing, "tank", draft.tank)
    card = next(known for known in read_milk.tanks(doing.book) if known.tank == tank)
    if (draft.stick is None) == (draft.milk is None):
        both = "both a stick reading and a weight were" if draft.milk is not None else "neither was"
        raise Refused(f"stick: {both} given.", remedy="Give one of the two.", field="stick")
    charted_g = None if draft.stick is None else by_chart(card, draft.stick, doing.ground)
    milk_g = draft.milk if charted_g is None else charted_g
    assert milk_g is not None
    if milk_g > card.capacity_g:
        raise Refused(
            f"milk: {doing.farm.units.mass(milk_g)} is more than "
            f"the tank's {doing.farm.units.mass(card.capacity_g)}.",
            remedy="Check the meter, and what the tank holds.",
            field="milk",
        )
    read_at = draft.read or doing.ground.now_s
    doing.farm_day = doing.ground.clock.farm_day(read_at)
    doing.add(TankLevel(tank=tank, read_at=read_at, milk_g=milk_g, stick_um=draft.stick))
    how = (
        "by meter"
        if draft.stick is None
        else f"stick {ask_stick('stick').shown_short(draft.stick, doing.ground)}"
    )
    return (
        f"{card.name} holds {doing.farm.units.mass(milk_g)}, {how}, {doing.ground.clock.shown_time(read_at)}."
    )


class ThermometerCheckDraft(ChoreDraft):
    """A thermometer held beside a calibrated one in the same agitated milk or water."""

    tank: Annotated[
        int | None, Name(label="tank", help="of which tank; needed where there are several", thing="tank")
    ] = None
    shown: Annotated[int, ask_warmth("shown", help="what the checked thermometer shows")]
    reference: Annotated[int, ask_warmth("reference", help="what the calibrated one shows beside it")]
    thermometer: Annotated[
        str,
        Words(
            label="thermometer",
            help="as the source of its readings; the one read by hand if not given",
            longest=60,
        ),
    ] = ""
    against: Annotated[str, Words(label="against", help="which calibrated one, and whose", longest=120)] = ""
    checked: Annotated[int | None, Moment(label="checked", help="when; now if not given")] = None


@chore("thermometer-check", "a thermometer check", ThermometerCheckDraft, roles=[HAND])
def check_thermometer(doing: Doing, draft: ThermometerCheckDraft) -> str:
    """Write how far a thermometer is off; the error is shown beside its readings, never taken out silently."""
    tank = only_one(doing, "tank", draft.tank)
    if abs(draft.shown - draft.reference) > 20_000:
        raise Refused(
            "shown: the two are more than 20 °C (36 °F) apart.",
            remedy="Check what was typed; both must stand in the same milk.",
            field="shown",
        )
    checked_at = draft.checked or doing.ground.now_s
    doing.farm_day = doing.ground.clock.farm_day(checked_at)
    doing.add(
        ThermometerCheck(
            tank=tank,
            thermometer=draft.thermometer or BY_HAND,
            checked_at=checked_at,
            shown_mC=draft.shown,
            reference_mC=draft.reference,
            reference=draft.against,
        )
    )
    which = f", {draft.thermometer}," if draft.thermometer else ""
    name, words = doing.ground.name_of("tank", tank), error_words(draft.shown, draft.reference, doing.ground)
    if thermometer_is_off(shown_mC=draft.shown, reference_mC=draft.reference):
        words += ", more than the 2 °F a recorder may be off: have it set or changed"
    return f"Thermometer of {name}{which} {words}, checked {doing.ground.clock.shown_time(checked_at)}."


def ask_water(label: str, *, help: str) -> Measure:
    """The warmth of wash water, 0 to 100 °C; most washes are begun under 80 °C (common practice, no source)."""
    return Measure(
        label=label,
        help=help,
        kept=TEMPERATURE_MC,
        unit=lambda u: u.warmth,
        least=0,
        most=100_000,
        likely=(5_000, 85_000),
        decimals=1,
    )


class WashDraft(ChoreDraft):
    """A tank or the pipeline washed; the steps and chemicals are those of the product's label."""

    what: Annotated[str, Word(label="what", help="what was washed", words=(TANK, PIPELINE))]
    tank: Annotated[
        int | None, Name(label="tank", help="which tank; needed where there are several", thing="tank")
    ] = None
    steps: Annotated[
        list[str],
        Several(label="steps", help="steps done, in order", each=Word(label="steps", words=STEPS), most=12),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    begins: Annotated[int | None, ask_water("begins", help="wash water at the start")] = None
    ends: Annotated[int | None, ask_water("ends", help="wash water at the end")] = None
    chemical: Annotated[
        list[str],
        Several(
            label="chemical",
            help="by the name on its label, repeated",
            each=Words(label="chemical", least=1, longest=60),
            most=4,
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    washed_by: Annotated[str, Words(label="washed by", help="who; who writes, if not given", longest=60)] = ""
    washed: Annotated[int | None, Moment(label="washed", help="when; now if not given")] = None
    words: Annotated[str, Words(label="words", help="what else was seen", longest=300)] = ""


@chore("wash", "a wash of tank or pipeline", WashDraft, roles=[HAND])
def write_wash(doing: Doing, draft: WashDraft) -> str:
    """Write a wash; acid and chlorine in one wash are spoken of."""
    if draft.what == PIPELINE and draft.tank is not None:
        raise Refused("tank: the pipeline is of no tank.", remedy="Leave the tank out.", field="tank")
    tank = None if draft.what == PIPELINE else only_one(doing, "tank", draft.tank)
    if draft.begins is not None and draft.ends is not None and draft.ends > draft.begins:
        raise Refused(
            "ends: the water is warmer at the end than at the start.", remedy="Check the two.", field="ends"
        )
    washed_at = draft.washed or doing.ground.now_s
    doing.farm_day = doing.ground.clock.farm_day(washed_at)
    doing.add(
        Wash(
            what=draft.what,
            tank=tank,
            washed_at=washed_at,
            steps=", ".join(draft.steps),
            begins_mC=draft.begins,
            ends_mC=draft.ends,
            chemicals="; ".join(draft.chemical),
            washed_by=draft.washed_by or doing.who.name,
            words=draft.words,
        )
    )
    name = "Pipeline" if tank is None else doing.ground.name_of("tank", tank)
    parts = [f"{name} washed {doing.ground.clock.shown_time(washed_at)}"]
    parts += [", ".join(draft.steps)] * bool(draft.steps)
    units = doing.farm.units
    warmth = [units.temperature(milli) for milli in (draft.begins, draft.ends) if milli is not None]
    parts += [" to ".join(warmth)] * bool(warmth) + ["; ".join(draft.chemical)] * bool(draft.chemical)
    caution = wash_caution(draft.steps, draft.chemical)
    return f"{', '.join(parts)}.{' ' + caution if caution else ''}"


class EmptyingRuleDraft(ChoreDraft):
    """How long milk may stay in the tank where this farm is."""

    rule: Annotated[
        str,
        Word(
            label="rule",
            help="of the farm's place; each is explained in `herdbook manual cooling`",
            words=tuple(key for key, rule in emptying_rules().items() if rule.read),
        ),
    ]
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=60)
    ] = None


@chore("emptying-rule", "how long milk may stay in the tank", EmptyingRuleDraft, roles=[OWNER])
def choose_emptying_rule(doing: Doing, draft: EmptyingRuleDraft) -> str:
    """Write which place's limit counts from a day on."""
    since = (draft.since or doing.ground.clock.farm_day(doing.ground.now_s)).isoformat()
    doing.add(FarmChoice(from_day=since, choice=EMPTYING, chosen=draft.rule))
    return f"From {since}: {emptying_rules()[draft.rule].title}."

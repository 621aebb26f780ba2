"""Starting a book, the farm's settings, and who may write in it."""

from __future__ import annotations

import uuid
from typing import Annotated

from herdbook.book.reading import entries as read_entries
from herdbook.book.reading import farm as read_farm
from herdbook.book.reading.cooling_choices import COOLING_RULE
from herdbook.book.tables import FarmCard, FarmChoice, Person, PersonCard
from herdbook.chores.asking import Count, Word, Words, YesNo
from herdbook.chores.doing import OWNER, ROLES, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.measures import ask_rain, ask_share
from herdbook.chores.repeated import Several
from herdbook.clock import zone
from herdbook.errors import ChoreRefused, Refused
from herdbook.science.cooling_rules import cooling_rules, default_cooling_rule


class FarmDraft(ChoreDraft):
    """The farm's own settings."""

    name: Annotated[str, Words(label="name", help="the farm's name", least=1, longest=60)]
    zone: Annotated[str, Words(label="time zone", help="such as America/Chicago", least=1, longest=60)]
    system: Annotated[str, Word(label="units", help="lb and °F, or kg and °C", words=("us", "metric"))] = "us"
    decimal: Annotated[str, Word(label="decimal mark", help="point or comma", words=(".", ","))] = "."
    currency: Annotated[str, Words(label="currency", help="sign or letters", least=1, longest=8)] = "$"
    day_start: Annotated[
        int,
        Count(label="day starts", help="minutes after midnight at which the farm's day begins", most=1439),
    ] = 0
    cooling_rule: Annotated[
        str,
        Words(label="cooling rule", help="the rule from today on, see `herdbook manual cooling`", longest=60),
    ] = ""
    dry_step: Annotated[
        int | None,
        ask_share(
            "dry-matter step",
            least_ppm=5_000,
            most_ppm=500_000,
            help="points of dry matter that a test may move by before it is asked about; 5 if not given",
        ),
    ] = None
    rain_step: Annotated[
        int | None,
        ask_rain(
            "rain step",
            least_um=1,
            help="rain since the last test after which a wet feed's dry matter is tested; 10 mm if not given",
        ),
    ] = None
    feed_days: Annotated[
        int | None,
        Count(
            label="feed days",
            help="days that a feed must last before it is time to order; 7 if not given",
            least=1,
            most=365,
        ),
    ] = None
    invented: Annotated[
        bool, YesNo(label="invented", help="yes for a made-up farm; every screen then says so")
    ] = False


@chore("farm", "the farm's settings", FarmDraft, roles=[OWNER])
def set_farm(doing: Doing, draft: FarmDraft) -> str:
    """Write the farm's settings as they are from now on."""
    rule = draft.cooling_rule or doing.farm.cooling_rule or default_cooling_rule().key
    if rule not in cooling_rules():
        raise Refused(
            f"cooling rule: there is none called {rule!r}.",
            remedy=f"Known: {', '.join(cooling_rules())}.",
            field="cooling rule",
        )
    zone(draft.zone)
    kept = doing.farm.cooling_rule
    if kept and rule != kept and doing.corrects is None:
        # milkings of the past stay judged by the rule they were made under
        since = doing.ground.clock.farm_day(doing.ground.now_s).isoformat()
        doing.add(FarmChoice(from_day=since, choice=COOLING_RULE, chosen=rule))
    doing.add(
        FarmCard(
            farm_key=doing.farm.farm_key or _key_of(doing.request),
            name=draft.name,
            zone=draft.zone,
            day_start_min=draft.day_start,
            system=draft.system,
            decimal=draft.decimal,
            currency=draft.currency,
            cooling_rule=rule if doing.corrects is not None or not kept else kept,
            invented=draft.invented,
            dry_step_ppm=draft.dry_step,
            rain_step_um=draft.rain_step,
            feed_days=draft.feed_days,
        )
    )
    return f"Farm {draft.name}, {draft.zone}, cooling by {rule}."


def _key_of(request: str) -> str:
    """The farm's key, made of the request that started its book: drawn anew for each, and the same for a retry."""
    return uuid.uuid5(uuid.NAMESPACE_OID, request).hex


class FirstDraft(FarmDraft):
    """A new book: the farm and the owner who starts it."""

    owner: Annotated[
        str, Words(label="owner", help="first name of the person who owns the book", least=1, longest=60)
    ]
    login: Annotated[str, Words(label="login", help="their login name on this computer", longest=60)] = ""


@chore("start", "start the book", FirstDraft, roles=[OWNER])
def start_book(doing: Doing, draft: FirstDraft) -> str:
    """Write the first entry: the farm's settings and its owner."""
    if doing.turn.number != 1:
        raise ChoreRefused(
            "This book has been started already.", remedy="Change its settings with `herdbook write farm`."
        )
    person = doing.put(Person())
    doing.add(PersonCard(person=person, name=draft.owner, roles=OWNER, login=draft.login))
    said: str = set_farm.body(doing, draft)
    return f"{said} {draft.owner} owns the book."


class PersonDraft(ChoreDraft):
    """Someone who may write or look."""

    name: Annotated[
        str, Words(label="name", help="first name, as it stands beside entries", least=1, longest=60)
    ]
    roles: Annotated[
        list[str],
        Several(
            label="role",
            help="what they may do; repeat for several",
            each=Word(label="role", words=ROLES),
            least=1,
            most=4,
        ),
    ]
    login: Annotated[str, Words(label="login", help="their login name on this computer", longest=60)] = ""
    active: Annotated[bool, YesNo(label="active", help="no: may no longer come in")] = True


@chore("person", "someone who may write or look", PersonDraft, roles=[OWNER])
def add_person(doing: Doing, draft: PersonDraft) -> str:
    """Write a person with their roles."""
    person = _starter(doing, draft.name)
    if person is None:
        doing.free_name("person", draft.name)
        person = doing.identity(Person, "person_card")
    for known in read_farm.people(doing.book):
        if draft.login and known.login == draft.login and known.person != person:
            raise Refused(
                f"login: {known.name} comes in with {draft.login} already.",
                remedy="One login is one person.",
                field="login",
            )
    roles = [role for role in ROLES if role in draft.roles]
    doing.add(
        PersonCard(
            person=person, name=draft.name, roles=",".join(roles), login=draft.login, active=draft.active
        )
    )
    owns = draft.active and OWNER in roles
    see_an_owner_is_left(doing, struck=doing.corrects, person=person, owns=owns)
    return f"{draft.name}, {' and '.join(roles)}{'' if draft.active else ', no longer active'}."


def _starter(doing: Doing, name: str) -> int | None:
    """The person who started the book, when they are meant: their first card cannot be corrected, only followed."""
    if doing.corrects is not None:
        return None
    person = int(read_entries.rows_of(doing.book, 1)["person_card"][0]["person"])
    return person if doing.ground.names["person"].get(name) == person else None


def see_an_owner_is_left(doing: Doing, *, struck: int | None, person: int = 0, owns: bool = False) -> None:
    """See that someone active owns the book after this entry.

    Args:
        doing: the turn.
        struck: the entry this one strikes, if it does.
        person: whom this entry writes a card for; 0 for nobody.
        owns: whether that card makes them an owner.

    Raises:
        ChoreRefused: nobody would.
    """
    gone = () if struck is None else (struck,)
    owners = {p.person for p in read_farm.people(doing.book, without=gone) if p.active and OWNER in p.roles}
    if not owners - {person} and not owns:
        raise ChoreRefused("The book would have no owner left.", remedy="Make someone else an owner first.")

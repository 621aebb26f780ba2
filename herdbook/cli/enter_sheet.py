"""`herdbook enter`: a filled-in sheet in one pass, asked line by line or read from JSON, looked over, then written."""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from typing import TYPE_CHECKING, Any

import click

from herdbook.cli.call import Call, complain, say
from herdbook.errors import ChoreRefused, HerdbookError, Refused

if TYPE_CHECKING:
    from herdbook.chores.asking import Ask
    from herdbook.chores.day_plan import DayPlan, PlannedLoad
    from herdbook.chores.drafting import ChoreDraft
    from herdbook.chores.ground import Ground

LOAD, REFUSAL = "load-sheet", "refusal"
NOTHING = "-"

Fields = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Item:
    """One thing of the sheet: which chore, its fields as written, and how it is called when it is told."""

    chore: str
    fields: Fields
    called: str


@click.command()
@click.option("--of", "of", default="", metavar="DAY", help="the day on the sheet; today if not given")
@click.option("--feeding", type=click.IntRange(1, 12), metavar="NUMBER", help="only this feeding of the day")
@click.option(
    "--json", "file", default="", metavar="FILE|-", help="the sheet of `print loads --as json`, filled in"
)
@click.option("--yes", is_flag=True, help="write without asking")
@click.option("--dry-run", is_flag=True, help="only show what would be written")
@click.option(
    "--request", default="", metavar="KEY", help="a key of your own: the same one writes nothing twice"
)
@click.pass_obj
def enter(call: Call, of: str, feeding: int | None, file: str, yes: bool, dry_run: bool, request: str) -> int:
    """Enter a filled-in sheet: loads with their times, drops, and refusals.

    Each load is one entry, whole or not at all. What will be written is shown first. Without --json each line is
    asked: Enter takes what was planned, - leaves a line out, a time follows an @: `2690 @ 0512`.
    """
    from herdbook.cli.fields import read_json
    from herdbook.cli.write import check_request

    check_request(request)
    if file:
        objects, listed = read_json(file)
        items = _from_json({"loads": objects} if listed else objects[0])
    else:
        items = _asked(call, of, feeding)
    if not items:
        say("Nothing was entered.")
        return 0
    return _look_over_and_write(call, items, request, yes=yes, dry_run=dry_run)


# -- where the fields come from --


def _from_json(made: Mapping[str, Any]) -> list[Item]:
    """The loads that were begun and the refusals of a sheet; blanks are left out."""
    unknown = set(made) - {"loads", "refusals"}
    if unknown or not all(isinstance(made.get(key, []), list) for key in ("loads", "refusals")):
        raise Refused(
            "--json: an object with the lists `loads` and `refusals` is wanted.",
            remedy="Fill in what `herdbook print loads --as json` gives.",
            field="json",
        )
    items = []
    for place, one in enumerate(made.get("loads", []), start=1):
        fields = _without_blanks(one)
        if fields.get("began"):
            items.append(Item(LOAD, fields, f"load {fields.get('planned_load', place)} of the sheet"))
    for place, one in enumerate(made.get("refusals", []), start=1):
        items.append(Item(REFUSAL, _without_blanks(one), f"refusal {place} of the sheet"))
    return items


def _without_blanks(one: Any) -> Fields:
    if not isinstance(one, dict):
        raise Refused("--json: each load and refusal is an object of fields.", field="json")

    def filled(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: text for key, text in value.items() if text not in ("", None)}
        return value

    return {key: filled(value) for key, value in one.items() if filled(value) not in ("", None, {}, [])}


def _asked(call: Call, of: str, feeding: int | None) -> list[Item]:
    """The sheet asked line by line, in the order it is printed."""
    from herdbook.chores.day_plan import plan_day
    from herdbook.chores.moments import Day

    with call.reading() as (connection, ground):
        day = Day(label="of").understand(of, ground)
        plan = plan_day(connection, ground, day)
    loads = [load for load in plan.loads if feeding in (None, load.feeding) and not load.begun]
    say(f"The sheet of {day.isoformat()}. Enter takes what stands in brackets, {NOTHING} leaves a line out.")
    for problem in plan.problems:
        say(f"! {problem}")
    items = [item for load in loads if (item := _ask_load(load, plan, ground)) is not None]
    pens = dict.fromkeys(pen for load in plan.loads for pen in load.pens) if feeding in (None, 1) else {}
    return items + [item for pen in pens if (item := _ask_refusal(pen, day, ground)) is not None]


def _ask_load(load: PlannedLoad, plan: DayPlan, ground: Ground) -> Item | None:
    from herdbook.chores.paper_times import TimeOfDay, WeightOnPaper
    from herdbook.reports.feeding_plan import drop_g, pens_in_words

    units, name = ground.units, ground.name_of
    say(f"Load {load.number}, feeding {load.feeding}, {pens_in_words(load, ground)}")
    began = _ask("  Began (Enter: it was not mixed)", TimeOfDay(label="began"), ground, "")
    if not began:
        return None
    fed, running_g = [], 0
    for line in load.split.lines:
        plain_g = units.mass(running_g + line.grams, with_unit=False)
        default = f"+{units.mass(line.grams, 2, with_unit=False)}" if line.by_hand else plain_g
        ask = WeightOnPaper(label="scale", running=True)
        text = _ask(f"  {name('feed', line.feed)}, scale", ask, ground, default)
        if text != NOTHING:
            fed.append(f"{name('feed', line.feed)}={text}")
            grams, _, alone = ask.understand(text, ground)
            running_g = running_g + grams if alone else grams
    drops = []
    for pen in load.split.pens:
        default = units.mass(drop_g(load, pen.grams), with_unit=False)
        text = _ask(f"  {name('pen', pen.pen)} got", WeightOnPaper(label="drop"), ground, default)
        if text != NOTHING:
            drops.append(f"{name('pen', pen.pen)}={text}")
    planned = [f"{name('feed', line.feed)}={units.mass(line.grams, 2)}" for line in load.split.lines]
    fields = {
        "day": plan.day.isoformat(),
        "planned_load": str(load.number),
        "began": began,
        "planned": planned,
        "fed": fed,
        "drop": drops,
    }
    return Item(LOAD, fields, f"load {load.number} of the sheet")


def _ask_refusal(pen: int, day: date, ground: Ground) -> Item | None:
    from herdbook.chores.paper_times import TimeOfDay, WeightOnPaper

    name = ground.name_of("pen", pen)
    text = _ask(
        f"{name} left (Enter: not weighed back)", WeightOnPaper(label="refusal"), ground, "", refed=True
    )
    if text in ("", NOTHING):
        return None
    weight, _, to = (part.strip() for part in text.partition(">"))
    grams, _, time = (part.strip() for part in weight.partition("@"))
    fields = {"pen": name, "weight": grams, "fed": (day - timedelta(days=1)).isoformat()}
    if time:
        minute = TimeOfDay(label="time").understand(time, ground)
        fields["weighed"] = f"{day.isoformat()} {minute // 60:02}:{minute % 60:02}"
    if to:
        fields |= {"went": "re-fed", "to": to}
    return Item(REFUSAL, fields, f"refusal of {name}")


def _ask(question: str, ask: Ask, ground: Ground, default: str, *, refed: bool = False) -> str:
    """Ask until it is understood, or left out."""
    while True:
        text: str = click.prompt(question, default=default, show_default=bool(default), type=str).strip()
        try:
            if text and text != NOTHING:
                weight, mark, to = text.partition(">") if refed else (text, "", "")
                ask.understand(weight, ground)
                if mark:
                    ground.find("pen", to, label="re-fed to")
            return text
        except Refused as error:
            complain(str(error))


# -- looking over and writing --


def _look_over_and_write(call: Call, items: Sequence[Item], request: str, *, yes: bool, dry_run: bool) -> int:
    """Understand and rehearse everything first; only then is anything written, each item an entry of its own."""
    from herdbook.book.writing import Book
    from herdbook.chores.doing import Chore, Written, find_chore
    from herdbook.chores.load_sheet import IT_IS, rehearse
    from herdbook.cli.who import as_who, person_at

    with call.reading() as (connection, ground):
        by = as_who(person_at(call, connection))
    drafts = _understood(items, ground)
    book = Book(call.path, waiting=lambda: complain("Someone else is writing in the book; waiting ..."))
    try:

        def write(place: int, chore: Chore) -> Written:
            draft = drafts[place]
            key = f"{request}:{place + 1}" if request else _key(chore.name, draft)
            return chore(book, draft, by=by, now=call.clock, request=key)

        faults = []
        for place, item in enumerate(items):
            try:
                said = rehearse(find_chore(item.chore), partial(write, place))
                say(f"{item.called}: {said.partition(IT_IS)[0]}")
            except HerdbookError as error:
                faults.append(f"{item.called}: {error}")
        if faults:
            complain(*faults, "Nothing was written.")
            return ChoreRefused.exit_status
        if dry_run or not _goes_on(len(items), yes=yes):
            say("Nothing was written.")
            return 0 if dry_run else ChoreRefused.exit_status
        for place, item in enumerate(items):
            try:
                written = write(place, find_chore(item.chore))
            except HerdbookError as error:
                left = ", ".join(one.called for one in items[place:])
                complain(f"{item.called}: {error}", f"Not written: {left}.")
                return error.exit_status
            say(written.said)
            say(f"entry {written.entry}")
        return 0
    finally:
        book.close()


def _understood(items: Sequence[Item], ground: Ground) -> list[ChoreDraft]:
    """Every item's draft, or everything that is wrong with all of them at once."""
    from herdbook.chores.doing import find_chore
    from herdbook.chores.drafting import raise_all, understand
    from herdbook.cli.fields import texts_of

    drafts, faults = [], []
    for item in items:
        try:
            drafts.append(understand(find_chore(item.chore), texts_of(item.fields, ground), ground))
        except Refused as fault:
            faults.append(Refused(f"{item.called}: {fault.message}", remedy=fault.remedy, field=fault.field))
    raise_all(faults)
    return drafts


def _key(chore: str, draft: ChoreDraft) -> str:
    """A request's key from what was entered, so that the same sheet sent again is not written twice."""
    return hashlib.sha256(f"{chore} {draft.model_dump_json()}".encode()).hexdigest()[:40]


def _goes_on(many: int, *, yes: bool) -> bool:
    if yes:
        return True
    if not sys.stdin.isatty():
        raise Refused("enter: nobody is there to be asked.", remedy="Give --yes to write it.", field="yes")
    return click.confirm(f"Write {'this' if many == 1 else f'these {many}'}?")

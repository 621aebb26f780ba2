"""How a chore is done: one registration for each, and one way through role, turn, rows, entry and retry."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from importlib import import_module
from typing import Any, TypeVar

from herdbook.book.chain import canonical
from herdbook.book.reading import entries as read_entries
from herdbook.book.reading import farm as read_farm
from herdbook.book.reading.farm import Farm
from herdbook.book.tables.chain import Row
from herdbook.book.writing import Book, Heading, Turn, writing, written_before
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.ground import Ground
from herdbook.clock import Now
from herdbook.errors import ChoreRefused, Refused
from herdbook.plain import plain

OWNER, NUTRITIONIST, HAND, READER = "owner", "nutritionist", "hand", "reader"
ROLES = (OWNER, NUTRITIONIST, HAND, READER)
FIRST = "start"
NEVER_STRUCK = (FIRST, "strike")
"""What may be neither struck nor corrected: the first entry, and a strike (write the entry again instead)."""


@dataclass(frozen=True, slots=True)
class Who:
    """The person a chore is done by, and what they may do."""

    person: int
    name: str
    roles: frozenset[str]


@dataclass(frozen=True, slots=True)
class Written:
    """What a chore reports: its entry's number and what was written, in words; `again` for a repeated request."""

    entry: int
    said: str
    again: bool = False


@dataclass(slots=True)
class Doing:
    """A chore's turn, as its body sees it."""

    turn: Turn
    ground: Ground
    farm: Farm
    who: Who
    corrects: int | None
    farm_day: date
    note: str = ""
    strikes: int | None = None
    request: str = ""

    @property
    def book(self) -> Any:
        """A plain connection inside the turn, for questions."""
        return self.turn.raw

    def add(self, row: Row) -> None:
        """Add a row of this entry."""
        self.turn.add(row)

    def put(self, row: Row) -> int:
        """Add a row and get its id."""
        return self.turn.put(row)

    def identity(self, thing: type[Row], card: str) -> int:
        """The thing this entry writes about: the one the corrected entry wrote about, else a new one.

        Args:
            thing: the identity's class.
            card: table of the card whose column, named like the thing, points at it.
        """
        column = str(thing.__tablename__)
        if self.corrects is not None:
            before = read_entries.rows_of(self.book, self.corrects).get(card)
            if before:
                return int(before[0][column])
        return self.put(thing())

    def free_name(self, kind: str, name: str) -> None:
        """See that no other thing of that kind has the name.

        Raises:
            Refused: the name is taken.
        """
        taken = {known.lower(): number for known, number in self.ground.names.get(kind, {}).items()}
        mine = self._named_by_corrected(kind)
        if name.lower() in taken and taken[name.lower()] != mine:
            raise Refused(
                f"name: there is already a {kind} called {name}.",
                remedy="Choose another name, or correct its entry.",
                field="name",
            )

    def _named_by_corrected(self, kind: str) -> int | None:
        if self.corrects is None:
            return None
        before = read_entries.rows_of(self.book, self.corrects).get(f"{kind}_card")
        return int(before[0][kind]) if before else None


D = TypeVar("D", bound=ChoreDraft)
Body = Callable[[Doing, Any], str]


@dataclass(frozen=True, slots=True)
class Chore:
    """One thing people do, as registered; calling it does it.

    Args:
        name: as commands call it.
        title: what it is, in a few words.
        draft: what it asks for.
        roles: who may do it.
        body: adds rows in its turn and says what was written.
    """

    name: str
    title: str
    draft: type[ChoreDraft]
    roles: frozenset[str]
    body: Body

    def __call__(
        self,
        book: Book,
        draft: ChoreDraft,
        *,
        by: Who,
        now: Now,
        request: str = "",
        corrects: int | None = None,
        note: str = "",
    ) -> Written:
        """Do it: one transaction, one entry.

        Args:
            book: the open book.
            draft: what to write.
            by: who writes.
            now: the clock.
            request: made once by the form or command; the same one again writes nothing twice.
            corrects: number of the entry this one strikes and replaces.
            note: free words for the entry.

        Raises:
            Refused: something in the draft cannot be.
            ChoreRefused: not allowed, or not now; nothing was written.
        """
        self.allow(by)
        written_at = now()
        request = request or uuid.uuid4().hex
        doing: list[Doing] = []
        said = ""

        def heading(turn: Turn) -> Heading:
            done = doing[0]
            return Heading(
                person=by.person,
                chore=self.name,
                farm_day=done.farm_day,
                written_ms=int(written_at.timestamp() * 1000),
                request=request,
                note=plain(done.note),
                said=plain(said),
                asked=canonical(draft.model_dump(mode="json")),
                strikes=corrects if corrects is not None else done.strikes,
            )

        try:
            with writing(book, heading) as turn:
                if (before := written_before(turn, request)) is not None:
                    raise _AlreadyWritten(before)
                start = _start(turn, by, corrects, int(written_at.timestamp()), note)
                start.request = request
                self._see_its_turn(start)
                draft.see_things_stand(start.ground)
                doing.append(start)
                said = self.body(start, draft)
                number = turn.number
        except _AlreadyWritten as news:
            return Written(news.number, f"Entry {news.number} had been written already.", again=True)
        return Written(number, said)

    def allow(self, by: Who) -> None:
        """See that the person may do this.

        Raises:
            ChoreRefused: none of their roles may.
        """
        if not by.roles & self.roles:
            raise ChoreRefused(
                f"{by.name} may not write this ({self.title}).",
                remedy=f"It takes the role {' or '.join(role for role in ROLES if role in self.roles)}.",
            )

    def _see_its_turn(self, doing: Doing) -> None:
        if doing.turn.number == 1 and self.name != FIRST:
            raise ChoreRefused("This book has not been started.", remedy="Start it with `herdbook new`.")
        if doing.corrects is None:
            return
        if self.name in NEVER_STRUCK:
            raise ChoreRefused(
                f"Entry {doing.corrects} cannot be corrected by `{self.name}`.",
                remedy="Write what is right instead.",
            )
        before = see_standing(doing, doing.corrects)
        if before["chore"] != self.name:
            raise ChoreRefused(
                f"Entry {doing.corrects} is of another kind ({before['chore']}).",
                remedy=f"Correct it with `herdbook write {before['chore']} --corrects {doing.corrects}`.",
            )


class _AlreadyWritten(Exception):  # noqa: N818 (leaves the turn without an entry; not an error)
    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number


def see_standing(doing: Doing, number: int) -> Any:
    """The entry of that number, if it stands.

    Raises:
        ChoreRefused: there is none, or it was struck.
    """
    found = read_entries.entry(doing.book, number)
    if found is None:
        raise ChoreRefused(f"There is no entry {number}.", remedy="See `herdbook show entries`.")
    if found["struck_by"] is not None:
        raise ChoreRefused(
            f"Entry {number} was struck by entry {found['struck_by']}.",
            remedy="Correct the one that stands now.",
        )
    return found


def _start(turn: Turn, by: Who, corrects: int | None, now_s: int, note: str) -> Doing:
    """What a chore's body stands on; a correction counts from when the corrected thing was first written.

    So `now if not given` keeps meaning the moment it meant then: a reading corrected next morning stays where it was.
    """
    farm = read_farm.farm(turn.raw) if turn.number > 1 else _no_farm_yet()
    if corrects is not None:
        first = read_entries.first_of_corrections(turn.raw, corrects)
        now_s = now_s if first is None else int(first["written_ms"]) // 1000
    ground = ground_of(turn.raw, farm, now_s)
    return Doing(turn, ground, farm, by, corrects, farm.clock.farm_day(now_s), note)


def ground_of(connection: Any, farm: Farm, now_s: int) -> Ground:
    """What typed text is understood by, as the book stands: screens and commands use the same."""
    from herdbook.chores.naming import with_names

    return with_names(connection, Ground(farm.units, farm.clock, now_s))


def _no_farm_yet() -> Farm:
    from herdbook.clock import FarmClock
    from herdbook.units import FarmUnits

    return Farm("", "", FarmUnits(), FarmClock(), "", False, 0)


_REGISTERED: dict[str, Chore] = {}


def chore(
    name: str, title: str, draft: type[D], *, roles: Sequence[str]
) -> Callable[[Callable[[Doing, D], str]], Chore]:
    """Register the function below as a chore; the owner may always do it."""

    def register(body: Callable[[Doing, D], str]) -> Chore:
        made = Chore(name, title, draft, frozenset(roles) | {OWNER}, body)
        if name in _REGISTERED:
            raise ValueError(f"two chores are called {name}")
        _REGISTERED[name] = made
        return made

    return register


MODULES: Mapping[str, tuple[str, ...]] = {
    "farm_and_people": ("farm", "start", "person"),
    "pens_and_heads": ("pen", "head"),
    "pen_cows": ("pen-cows",),
    "feeds": ("feed", "price"),
    "mixes": ("mix",),
    "analyses": ("analysis", "analyses"),
    "dry_tests": ("dry-matter",),
    "rations": ("ration", "pen-ration", "mixer"),
    "targets": ("targets",),
    "mixer_order": ("mixer-order", "feeding-shares"),
    "mixing": ("load",),
    "weighing": ("weigh",),
    "load_sheet": ("load-sheet",),
    "bunk": ("drop", "refusal"),
    "bunk_scores": ("bunk-score",),
    "push_ups": ("push-up", "trough"),
    "call_advice": ("call-advice",),
    "walk": ("walk", "walk-close"),
    "weather": ("weather", "rain"),
    "store": ("delivery", "stock-count", "new-face"),
    "milk_house": ("tank", "temperature", "pickup"),
    "readings": ("readings",),
    "reading_profiles": ("reading-profile",),
    "milkings": ("milking", "milked"),
    "cooling_goals": ("cooling-rule", "cooling-goal"),
    "milk_rounds": ("level", "thermometer-check", "wash", "emptying-rule"),
    "treatments": ("treatment", "milk-back"),
    "held_milk": ("held-milk-in", "milk-test", "dump"),
    "milk_results": ("milk-result", "milk-limits"),
    "alarms": ("alarm", "alarm-step", "acknowledge"),
    "alarm_rules": ("alarm-rules",),
    "money": ("milk-price", "milk-cheque"),
    "notes": ("note",),
    "striking": ("strike",),
}
"""The files of this package that hold chores, and which: a command finds its own without importing all the others."""


def chores() -> Mapping[str, Chore]:
    """Every chore by name, in the order of the list, whichever was needed first."""
    for module in MODULES:
        import_module(f"herdbook.chores.{module}")
    return {name: _REGISTERED[name] for names in MODULES.values() for name in names}


def find_chore(name: str) -> Chore:
    """The chore of that name.

    Raises:
        Refused: there is none; the sentence names the nearest.
    """
    module = next((module for module, names in MODULES.items() if name in names), "")
    if module:
        import_module(f"herdbook.chores.{module}")
        return _REGISTERED[name]
    from difflib import get_close_matches

    known = chores()
    near = get_close_matches(name, known, 1, 0.5)
    hint = f"Did you mean {near[0]}?" if near else f"Known: {', '.join(known)}."
    raise Refused(f"There is no chore called {plain(name, longest=40)!r}.", remedy=hint, field="chore")

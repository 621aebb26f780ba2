"""The base of places that stand on a book: reading reports, slips of chores, corrections, explanations, drafts."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from textwrap import wrap
from typing import TYPE_CHECKING, Any, cast

from rich.text import Text

from herdbook.chores.ground import Ground
from herdbook.errors import HerdbookError, Refused, WrittenMeanwhile
from herdbook.screens import keys
from herdbook.screens.finding import FindField, find_in
from herdbook.screens.parts.field import Field
from herdbook.screens.parts.rows_table import RowsTable
from herdbook.screens.parts.slip import Slip
from herdbook.screens.report_sheet import ReportSheet
from herdbook.screens.slip_contents import BY_ITSELF, asked, notes_on, see_things, settings_now
from herdbook.screens.unfinished import Unfinished

if TYPE_CHECKING:
    from herdbook.reports.figures import Column, Figure
    from herdbook.screens.chore_slip import ChoreSlip, Form
    from herdbook.screens.desk import Desk, Look


WRITE = keys.Key(
    "book.write", "w", "list_chores", "write", "Lists everything that can be written, and opens its slip."
)
"""The same in every place: no chore is out of reach of the keyboard."""

HANDS = frozenset({"hand"})
"""Who besides the owner writes what happens at mixer, bunk and tank."""

WAITS = "Somebody else is writing in the book: waiting for a turn. Nothing you typed is lost."
FORETOLD = ("dry-matter",)
"""Chores whose effect is told while they ask to be written."""

LEFT_KEPT = "Kept as typed. The same key brings it back."

NOT_LISTED = ("start", "strike", "analyses", "alarm-step")
"""Chores not begun from a list: a book is started once; a strike is of a chosen line; a file comes by command;
what became of an alarm the watcher writes, and people in the list of alarms (!)."""


class BookPlace(ReportSheet):
    """A place that reads the book through `read` and writes through slips of chores."""

    def __init__(self) -> None:
        super().__init__()
        self.ground: Ground | None = None
        self._found: Any = None
        self._waiting: tuple[Form, dict[str, Any], bool] | None = None
        self._left: dict[str, dict[str, str]] = {}
        self._request = uuid.uuid4().hex

    @property
    def desk(self) -> Desk:
        """The seat at the book."""
        return cast("Desk", self.home.opening.extra)

    # -- reading --

    def read(self, connection: Any, ground: Ground) -> Any:
        """Read what this place shows; runs in the reading thread."""
        return None

    def shown(self, found: Any) -> None:
        """Show what `read` gave back."""

    def load(self, data: Look) -> tuple[Ground, Any]:
        """Read at one moment of the book."""
        with data.at_once() as (connection, ground):
            return ground, self.read(connection, ground)

    def show(self, found: tuple[Ground, Any]) -> None:
        """Take over the ground and show what was read."""
        self.ground, self._found = found
        self.shown(self._found)
        if self._waiting is not None:
            waiting, self._waiting = self._waiting, None
            self._open(*waiting)

    def is_old(self, than_s: int) -> bool:
        """By the clock of the desk."""
        return self.ground is not None and self.desk.now_s - self.ground.now_s > than_s

    def on_resize(self) -> None:
        """Lay out anew what depends on the width."""
        if self.ground is not None:
            self.call_after_refresh(lambda: self.shown(self._found))

    # -- slips --

    @property
    def slip(self) -> ChoreSlip | None:
        """The open slip, if one is open."""
        found = [widget for widget in self.slip_room.query(Slip) if self.slip_is_open]
        return cast("ChoreSlip", found[0]) if found else None

    def open_chore(
        self,
        name: str,
        *,
        texts: Mapping[str, str | Sequence[str]] | None = None,
        fixed: Mapping[str, str | Sequence[str]] | None = None,
        corrects: int | None = None,
    ) -> None:
        """Open the slip of a chore.

        Args:
            name: the chore.
            texts: what stands in its fields at first.
            fixed: fields that are given and not asked.
            corrects: the entry it corrects.
        """
        from herdbook.screens.chore_slip import Form, from_slip

        left = self._left.get(name)
        if left is not None and left["corrects"] == ("" if corrects is None else str(corrects)):
            form, kept = Form.from_draft(left)
            self._open(form, from_slip(kept), unfinished=True)
            self.say("Back as you left it. Esc once more throws it away.")
            return
        self._open(Form(name, corrects, fixed=_texts(fixed)), dict(texts or {}))

    def _open(self, form: Form, texts: Mapping[str, Any], unfinished: bool = False) -> None:
        if self.ground is None:
            self._waiting = (form, dict(texts), unfinished)
            return
        before = self.slip
        if before is not None and before.is_begun:  # another one was open: what was typed in it stays
            self._left[before.form.chore] = before.as_draft()
        try:
            self.open_slip(self.make_slip(form, texts, unfinished=unfinished))
        except HerdbookError as error:
            self.wrong(error)

    def make_slip(self, form: Form, texts: Mapping[str, Any], *, unfinished: bool = False) -> ChoreSlip:
        """Make the slip of a form.

        Raises:
            ChoreRefused: the person may not do this chore.
            Refused: the book has not been read yet.
        """
        from herdbook.screens.chore_slip import ChoreSlip

        if self.ground is None:
            raise Refused("The book is still being read.", remedy="Press the key again in a moment.")
        chore = self.desk.chore(form.chore)
        self.see_allowed(form.chore)
        see_things(chore, self.ground)
        ground = replace(
            self.ground, now_s=self.desk.now_s
        )  # "640" and "-15" are of now, not of the last read
        notes = notes_on(form.chore, self.desk.path, ground) if form.corrects is None else ()
        width = max(30, self.size.width - 5)
        return ChoreSlip(
            form,
            chore,
            ground,
            texts=texts,
            only=asked(chore, ground, form.fixed),
            unfinished=unfinished,
            notes=[line for note in notes for line in wrap(note, width)],
        )

    def action_list_chores(self) -> None:
        """List everything that can be written here by this person; the chosen one opens its slip."""
        from herdbook.chores.doing import chores

        mine = [c for c in chores().values() if c.name not in NOT_LISTED and c.roles & self.desk.roles]
        if not mine:
            self.say("You look only: nothing here can be written by you.")
            return
        choices = [(f"{c.title[:1].upper()}{c.title[1:]}", self._opener(c.name)) for c in mine]
        self.open_sheet("WRITE", "Enter opens, letters jump, Esc closes", (), choices)

    def _opener(self, name: str) -> Any:
        def do() -> None:
            self.close_sheet()
            assert self.ground is not None
            self.open_chore(name, texts=settings_now(self.desk, self.ground) if name == "farm" else None)

        return do

    def on_screen_suspend(self) -> None:
        """Take no slip's question along to another place."""
        if self.slip is not None and self.slip.stage == "asking":
            self.slip.unask()
            self.say_line.say("")

    def see_allowed(self, chore_name: str) -> None:
        """Say at once, not at the end of a form, when the person may not do a chore.

        Raises:
            ChoreRefused: none of their roles may.
        """
        from herdbook.chores.doing import Who

        desk = self.desk
        desk.chore(chore_name).allow(Who(desk.person, desk.name, desk.roles))

    def on_slip_asked(self, message: Slip.Asked) -> None:
        """Let what a dry-matter test would change stand on its slip, before it is accepted."""
        from herdbook.screens.chore_slip import ChoreSlip, from_slip

        message.stop()
        slip = message.slip
        if (
            not isinstance(slip, ChoreSlip)
            or slip.form.chore not in FORETOLD
            or slip.form.corrects is not None
        ):
            return
        texts, chore = {**from_slip(message.texts), **slip.form.fixed}, self.desk.chore(slip.form.chore)

        def job(data: Look) -> tuple[str, ...]:
            from herdbook.chores.drafting import understand
            from herdbook.chores.dry_tests import DryTestDraft, effect_foretold

            with data.at_once() as (connection, ground):
                draft = understand(chore, texts, ground)
                assert isinstance(draft, DryTestDraft)
                return effect_foretold(connection, ground, draft)

        def told(lines: tuple[str, ...]) -> None:
            if self.slip is slip and slip.stage == "asking":
                slip.note(lines)

        self.home.reading.ask("foretold", job, done=told, failed=lambda _: None)

    def on_slip_written(self, message: Slip.Written) -> None:
        """The person said yes: the chore is done in the writing thread."""
        from herdbook.screens.chore_slip import ChoreSlip, from_slip

        message.stop()
        slip = message.slip
        assert isinstance(slip, ChoreSlip)
        texts = {**from_slip(message.texts), **slip.form.fixed}
        desk, form = self.desk, slip.form
        if "typed" in desk.chore(form.chore).draft.asks() and not texts.get("typed"):
            texts["typed"] = str(texts.get("reading", ""))

        def chore() -> str:
            said = desk.write(form.chore, texts, request=form.request, corrects=form.corrects)
            return f"{self._clock()}  Written: {said}"

        self.write(chore, then=self._slip_is_written, refused=lambda error: self._slip_refused(slip, error))

    def _slip_refused(self, slip: ChoreSlip, error: HerdbookError) -> None:
        """Give the slip back; what somebody else wrote meanwhile has been told now, and is not told again."""
        if isinstance(error, WrittenMeanwhile):
            slip.form.fixed["seen"] = str(error.entry)
            self.home.draft_changed()
        slip.refused(error)

    def write(
        self,
        chore: Callable[[], str],
        *,
        then: Callable[[], None] | None = None,
        refused: Callable[[HerdbookError], None] | None = None,
    ) -> None:
        """Do a chore in the writing thread; when its turn is long in coming, that is said."""
        self.desk.waiting = lambda: self.home.call_from_another_thread(self.say, WAITS)
        super().write(chore, then=then, refused=refused)

    def _clock(self) -> str:
        return self.ground.clock.shown_time(self.desk.now_s) if self.ground else ""

    def _slip_is_written(self) -> None:
        slip = self.slip
        if slip is not None:
            self._left.pop(slip.form.chore, None)
        self.close_slip()
        self.home.draft_changed()

    def on_slip_left(self) -> None:
        """Stepping back keeps what was typed; stepping back from what came back so throws it away."""
        slip = self.slip
        if slip is None:
            return
        chore = slip.form.chore
        if slip.is_changed or (slip.unfinished and chore not in self._left):
            self._left[chore] = slip.as_draft()
            self.say(LEFT_KEPT)
        elif slip.unfinished:
            del self._left[chore]
            self.say("Thrown away.")

    # -- drafts --

    def typed_in(self) -> Field | None:
        """The field of row 22, where the place has one."""
        return None

    def draft(self) -> Mapping[str, str] | None:
        """The open slip, slips stepped back from, and what stands in the number field."""
        slip, typed = self.slip, self.typed_in()
        found = Unfinished(left=dict(self._left), request=self._request)
        if self._waiting is not None:
            form, texts, _ = self._waiting
            found.slip = form.as_draft(texts, form.place, form.offered)
        if slip is not None and slip.is_under_way:
            found.slip = slip.as_draft()
            found.left.pop(slip.form.chore, None)
        if typed is not None and typed.is_attached:
            found.typed = typed.text
        return found.as_draft() or None

    def take_draft(self, draft: Mapping[str, str]) -> None:
        """Put everything back as it was when the line was cut."""
        from herdbook.screens.chore_slip import Form, from_slip

        kept, typed = Unfinished.from_draft(draft), self.typed_in()
        self._left = kept.left
        if kept.typed and typed is not None:
            self._request = kept.request or self._request
            typed.put(kept.typed)
            self.say("What you typed is back; it is not written yet.")
        if kept.slip:
            form, texts = Form.from_draft(kept.slip)
            self._open(form, from_slip(texts), unfinished=True)
            self.say("Your unfinished form is back as it was; it is not written yet.")

    def field_is_written(self, field: Field) -> None:
        """Empty the field, and make the key for what is typed next."""
        self._request = uuid.uuid4().hex
        field.written()
        field.put("")
        self.home.draft_changed()

    # -- finding --

    def list_to_find_in(self) -> RowsTable | None:
        """The list that `/` looks through."""
        return None

    def find(self) -> None:
        """Ask for a part of a line at the bottom edge."""
        table = self.list_to_find_in()
        if table is None or not table.rows:
            self.say("There is no line to find here yet.")
            return
        self.open_slip(FindField())

    def on_find_field_sought(self, message: FindField.Sought) -> None:
        """Go to the line."""
        message.stop()
        table = self.list_to_find_in()
        if table is not None:
            self.say(find_in(table, message.text, onward=message.onward))
            self.found_line()

    def found_line(self) -> None:
        """Another line was chosen by finding it."""

    # -- correcting and explaining --

    def correct_entry(self, number: int, chore: str, asked: str) -> None:
        """Open the slip of an entry, filled with what it says, to put it right."""
        from herdbook.screens.chore_slip import texts_of_entry

        if self.ground is None:
            return
        try:
            self.see_allowed(chore)
            texts = texts_of_entry(self.desk.chore(chore), asked, self.ground)
        except HerdbookError as error:
            self.wrong(error)
            return
        kept = {name: text for name, text in texts.items() if name in BY_ITSELF.get(chore, ())}
        self.open_chore(chore, texts=texts, fixed=kept, corrects=number)

    def correct_number(self, number: int) -> None:
        """Open the slip of an entry by its number."""
        from herdbook.book.opening import reading
        from herdbook.book.reading.entries import entry

        with reading(self.desk.path) as connection:
            row = entry(connection, number)
        if row is None or row["struck_by"] is not None:
            self.say("That entry does not stand any more.")
            return
        self.correct_entry(number, row["chore"], row["asked"])

    def strike_chosen(self, number: str | None) -> None:
        """Open the slip that strikes an entry; what it says stands on the say line."""
        from herdbook.book.opening import reading
        from herdbook.book.reading.entries import entry

        if number is None:
            self.say("No line chosen that can be struck.")
            return
        with reading(self.desk.path) as connection:
            row = entry(connection, int(number))
        if row is None or row["struck_by"] is not None:
            self.say("That entry does not stand any more.")
            return
        self.open_chore("strike", fixed={"entry": number})
        if self.slip is not None:
            self.say(f"Strikes {row['said']}")

    def explain(self, label: str, figure: Figure, column: Column | None = None) -> Sequence[Text | str]:
        """The lines that say where a figure comes from."""
        from herdbook.book.opening import reading
        from herdbook.reports.explaining import explain, said_in

        assert self.ground is not None
        with reading(self.desk.path) as connection:
            return list(explain(label, figure, self.ground, said_in(connection), column=column).lines())


def _texts(given: Mapping[str, str | Sequence[str]] | None) -> dict[str, str | list[str]]:
    return {name: text if isinstance(text, str) else list(text) for name, text in (given or {}).items()}

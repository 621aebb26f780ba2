"""The base of places that stand on a book: reading reports, slips of chores, corrections, explanations, drafts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, cast

from rich.text import Text

from herdbook.chores.ground import Ground
from herdbook.errors import HerdbookError, Refused
from herdbook.screens import keys
from herdbook.screens.parts.slip import Slip
from herdbook.screens.place import Place

if TYPE_CHECKING:
    from herdbook.reports.figures import Column, Figure
    from herdbook.screens.chore_slip import ChoreSlip, Form
    from herdbook.screens.desk import Desk, Look


WRITE = keys.Key(
    "book.write", "w", "list_chores", "write", "Lists everything that can be written, and opens its slip."
)
"""The same in every place: no chore is out of reach of the keyboard."""

NOT_LISTED = ("start", "strike")
"""Chores that are not begun from a list: a book is started once; a strike is of a chosen line."""


class BookPlace(Place):
    """A place that reads the book through `read` and writes through slips of chores."""

    def __init__(self) -> None:
        super().__init__()
        self.ground: Ground | None = None
        self._kept_slip: tuple[Any, dict[str, Any]] | None = None

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
        self.ground = found[0]
        self.shown(found[1])
        if self._kept_slip is not None:
            form, texts = self._kept_slip
            self._kept_slip = None
            self._open(form, texts)

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
        fixed: Mapping[str, str] | None = None,
        corrects: int | None = None,
    ) -> None:
        """Open the slip of a chore.

        Args:
            name: the chore.
            texts: what stands in its fields at first.
            fixed: fields that are given and not asked.
            corrects: the entry it corrects.
        """
        from herdbook.screens.chore_slip import Form

        form = Form(name, corrects, fixed=dict(fixed or {}))
        self._open(form, dict(texts or {}))

    def _open(self, form: Form, texts: Mapping[str, Any]) -> None:
        if self.ground is None:
            self._kept_slip = (form, dict(texts))
            return
        try:
            self.open_slip(self.make_slip(form, texts))
        except HerdbookError as error:
            self.wrong(error)

    def make_slip(self, form: Form, texts: Mapping[str, Any]) -> ChoreSlip:
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
        hidden = {*form.fixed, *HIDDEN[""], *HIDDEN.get(form.chore, ())}
        only = [name for name in chore.draft.asks() if name not in hidden]
        return ChoreSlip(form, chore, self.ground, texts=texts, only=only)

    def action_list_chores(self) -> None:
        """List everything that can be written here by this person; the chosen one opens its slip."""
        from herdbook.chores.doing import chores

        mine = [c for c in chores().values() if c.name not in NOT_LISTED and c.roles & self.desk.roles]
        if not mine:
            self.say("You look only: nothing here can be written by you.")
            return
        choices = [(f"{c.title[:1].upper()}{c.title[1:]}", self._opener(c.name)) for c in mine]
        self.open_sheet("WRITE", "Enter or the number opens it, Esc closes", (), choices)

    def _opener(self, name: str) -> Any:
        def do() -> None:
            self.close_sheet()
            self.open_chore(name)

        return do

    def see_allowed(self, chore_name: str) -> None:
        """Say at once, not at the end of a form, when the person may not do a chore.

        Raises:
            ChoreRefused: none of their roles may.
        """
        from herdbook.chores.doing import Who

        desk = self.desk
        desk.chore(chore_name).allow(Who(desk.person, desk.name, desk.roles))

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

        self.write(chore, then=self._slip_is_written, refused=slip.refused)

    def _clock(self) -> str:
        return self.ground.clock.shown_time(self.desk.now_s) if self.ground else ""

    def _slip_is_written(self) -> None:
        self.close_slip()
        self.home.draft_changed()

    def on_slip_left(self) -> None:
        """Stepping back keeps what was typed: the same key opens the slip again as it was."""
        slip = self.slip
        self._left = slip.form.as_draft(slip.texts) if slip is not None and slip.is_begun else None
        super().on_slip_left()

    # -- drafts --

    def draft(self) -> Mapping[str, str] | None:
        """The open slip as a draft."""
        slip = self.slip
        if slip is None or not slip.is_begun or slip.stage == "writing":
            return None
        return slip.form.as_draft(slip.texts)

    def take_draft(self, draft: Mapping[str, str]) -> None:
        """Open the slip again as it was when the line was cut."""
        from herdbook.screens.chore_slip import Form, from_slip

        form, texts = Form.from_draft(draft)
        self._open(form, from_slip(texts))
        self.say("Your unfinished form is back as it was.")

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
        self.open_chore(chore, texts=texts, corrects=number)

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

    def explain(self, label: str, figure: Figure, column: Column | None = None) -> Sequence[Text | str]:
        """The lines that say where a figure comes from."""
        from herdbook.book.opening import reading
        from herdbook.reports.explaining import explain, said_in

        assert self.ground is not None
        with reading(self.desk.path) as connection:
            return list(explain(label, figure, self.ground, said_in(connection), column=column).lines())


HIDDEN = {
    "": ("typed", "source", "sure"),
    "load": ("planned", "loaded"),
}
"""Fields a slip does not ask, of every chore or of one: filled in by themselves, or written one by one elsewhere."""

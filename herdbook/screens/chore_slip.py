"""A slip for any chore, made from what the chore asks for; writing it goes through the chore itself."""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from rich.cells import cell_len, set_cell_size
from textual import events

from herdbook.chores.asking import Ask
from herdbook.chores.ground import Ground
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import HerdbookError, Refused, SeveralRefused
from herdbook.plain import plain
from herdbook.screens.parts.answer import Answer
from herdbook.screens.parts.slip import Slip
from herdbook.screens.parts.understood import Understood
from herdbook.screens.remedies import on_screen

if TYPE_CHECKING:
    from herdbook.chores.doing import Chore
    from herdbook.chores.drafting import ChoreDraft

Texts = dict[str, str | list[str]]
EDITING = {"backspace", "delete", "left", "right", "home", "end"}
LONG_SHOWN = 24
ROOM_OF_THE_ANSWERS = len(" Write?     Enter yes   Esc back ") + 1
CAREFUL = ("dump", "milk-back")
"""What throws milk away or ends a hold is answered with the key Y, not with one Enter too many."""
ROOM_OF_THE_SIGN = 5
FIRST, SECOND = ".first", ".second"
"""How the two halves of a repeated pair are called on a slip; a chore takes them as `first=second`."""


@dataclass
class ChoreAsk:
    """One field of a chore as a slip asks it."""

    name: str
    ask: Ask
    ground: Ground
    required: bool
    repeated: bool = False
    hint: str = ""
    present: str = ""
    cells: int = 0

    @property
    def label(self) -> str:
        """The word before the field, with a capital."""
        return self.ask.label[:1].upper() + self.ask.label[1:]

    @property
    def unit_word(self) -> str:
        """The unit a bare number takes."""
        return self.ask.unit_word(self.ground.units)

    def understand(self, text: str) -> Understood:
        """What was typed, read back; errors become the field's own words."""
        value = self.ask.understand(text, self.ground)
        shown = self.ask.shown(value, self.ground)
        doubt = self.ask.doubt(value, self.ground)
        return Understood(
            value=value if value is not None else "", shown="" if shown == text else shown, ask=doubt
        )

    def choices(self) -> Sequence[str] | None:
        """Names or words to pick from."""
        return self.ask.choices(self.ground)


def asks_of(chore: Chore, ground: Ground, *, only: Sequence[str] = ()) -> list[ChoreAsk]:
    """The questions of a chore, in the order it names them or in the order of `only`."""
    asks = chore.draft.asks()
    found: list[ChoreAsk] = []
    for name in only or asks:
        ask, required = asks[name], chore.draft.required(name)
        if isinstance(ask, Several) and isinstance(ask.each, Pair):
            pair = ask.each
            found.append(ChoreAsk(name + FIRST, pair.first, ground, required, repeated=True))
            found.append(ChoreAsk(name + SECOND, pair.second, ground, required, repeated=True))
        elif isinstance(ask, Several):
            found.append(ChoreAsk(name, ask.each, ground, required, repeated=True))
        else:
            found.append(ChoreAsk(name, ask, ground, required, hint=ask.help))
    return found


def to_slip(texts: Mapping[str, str | Sequence[str]], chore: Chore) -> Texts:
    """Texts of a chore as a slip holds them: pairs in two columns."""
    asks, found = chore.draft.asks(), Texts()
    for name, text in texts.items():
        ask = asks.get(name)
        if isinstance(ask, Several) and isinstance(ask.each, Pair):
            pairs = [one.partition("=") for one in ([text] if isinstance(text, str) else text)]
            found[name + FIRST] = [first for first, _, _ in pairs]
            found[name + SECOND] = [second for _, _, second in pairs]
        else:
            found[name] = text if isinstance(text, str) else list(text)
    return found


def from_slip(texts: Mapping[str, str | Sequence[str]]) -> Texts:
    """Texts of a slip as the chore takes them: two columns joined to pairs."""
    found = Texts()
    for name, text in texts.items():
        if name.endswith(FIRST):
            whole = name.removesuffix(FIRST)
            pairs = zip(text, texts.get(whole + SECOND, ()), strict=False)
            found[whole] = [f"{first}={second}" for first, second in pairs if first.strip() or second.strip()]
        elif not name.endswith(SECOND):
            found[name] = text if isinstance(text, str) else list(text)
    return found


def texts_of_entry(chore: Chore, asked: str, ground: Ground) -> Texts:
    """What an entry was asked with, as texts that give it back when typed; for correcting it."""
    draft: ChoreDraft = chore.draft.model_validate(json.loads(asked))
    found = Texts()
    for name, ask in chore.draft.asks().items():
        value = getattr(draft, name)
        if value is None or value == "" or value == []:
            continue
        if isinstance(ask, Several):
            found[name] = [ask.each.typed_again(one, ground) for one in value]
        else:
            found[name] = ask.typed_again(value, ground)
    return found


@dataclass
class Form:
    """An open slip: which chore it is for, what it corrects, and the request that makes a retry safe."""

    chore: str
    corrects: int | None = None
    request: str = field(default_factory=lambda: uuid.uuid4().hex)
    fixed: Texts = field(default_factory=dict)
    place: str = ""
    offered: tuple[tuple[str, str], ...] = ()

    def as_draft(
        self, texts: Mapping[str, Any], place: str = "", offered: Iterable[tuple[str, str]] = ()
    ) -> dict[str, str]:
        """The form as it is kept over a cut line.

        Args:
            texts: what stands in its fields.
            place: where the cursor is.
            offered: place and text of each field that holds what was offered, for typing to replace.
        """
        corrects = "" if self.corrects is None else str(self.corrects)
        return {
            "chore": self.chore,
            "corrects": corrects,
            "request": self.request,
            "fixed": json.dumps(self.fixed),
            "texts": json.dumps(dict(texts)),
            "place": place,
            "offered": json.dumps(list(offered)),
        }

    @classmethod
    def from_draft(cls, draft: Mapping[str, str]) -> tuple[Form, Texts]:
        """The form and its texts as they were kept."""
        corrects = int(draft["corrects"]) if draft.get("corrects") else None
        form = cls(draft["chore"], corrects, draft["request"], json.loads(draft.get("fixed") or "{}"))
        form.place = draft.get("place", "")
        form.offered = tuple((at, text) for at, text in json.loads(draft.get("offered") or "[]"))
        return form, json.loads(draft["texts"])


class ChoreSlip(Slip):
    """A slip that knows its form.

    Args:
        form: which chore it is for, and the request it is written under.
        chore: that chore.
        ground: what typed text is understood by.
        texts: what stands in its fields at first.
        only: the fields asked, in order; all when empty.
        unfinished: the texts at first are a draft that came back, not an offer.
        notes: lines that must stand on it.
    """

    def __init__(
        self,
        form: Form,
        chore: Chore,
        ground: Ground,
        *,
        texts: Mapping[str, str | Sequence[str]] | None = None,
        only: Sequence[str] = (),
        unfinished: bool = False,
        notes: Sequence[str] = (),
    ) -> None:
        self.form = form
        self.unfinished = unfinished
        self._chore = chore
        title = f"{chore.title[:1].upper()}{chore.title[1:]}"
        title += f", corrects entry {form.corrects}" if form.corrects is not None else ""
        asks, careful = asks_of(chore, ground, only=only), chore.name in CAREFUL
        super().__init__(title, asks, texts=to_slip(texts or {}, chore), notes=notes, careful=careful)
        if form.place:
            self.sheet.go_to_place(form.place)
        self._at_first = self.texts
        offers = form.corrects is None and not unfinished
        self._offered = {
            id(answer)
            for at, answer in self.sheet.answers_by_place()
            if (offers and answer.text) or (at, answer.text) in form.offered
        }

    @property
    def is_changed(self) -> bool:
        """Whether anything is typed that did not stand there when the slip was opened."""
        return self.texts != self._at_first

    @property
    def is_under_way(self) -> bool:
        """Whether it would be missed when the line is cut: something is typed, or fields were passed by."""
        return self.is_begun or self.sheet.place != self.sheet.FIRST

    def as_draft(self) -> dict[str, str]:
        """The slip as it is kept over a cut line."""
        still = [
            (at, answer.text)
            for at, answer in self.sheet.answers_by_place()
            if id(answer) in self._offered and answer.text
        ]
        return self.form.as_draft(self.texts, self.sheet.place, still)

    @property
    def is_begun(self) -> bool:
        """Whether anything is typed that would be lost; what is offered or stands in the book would not."""
        return self.unfinished or self.is_changed

    def _key_in_fields(self, event: events.Key) -> bool:
        """What is offered goes when something else is typed over it; cursor keys and backspace edit it."""
        if event.is_printable or event.key in EDITING:
            self._touch_offer(replaces=event.is_printable)
        return super()._key_in_fields(event)

    def on_paste(self, event: events.Paste) -> None:
        """What is pasted stands in place of what is offered, as what is typed does."""
        if self._stage == "fields":
            self._touch_offer(replaces=True)
        super().on_paste(event)

    def _touch_offer(self, *, replaces: bool) -> None:
        answer = self.sheet.answer
        if id(answer) in self._offered:
            self._offered.discard(id(answer))
            if replaces:
                answer.put("")

    def unask(self) -> None:
        """Take back the question: who comes back from another place must see it before Enter means yes."""
        if self._stage == "asking":
            self._stage = "fields"
            self._show()

    def _summary(self) -> str:
        """What is asked to be written, short enough for the answers to stand behind it."""
        rows = (
            " ".join(filter(None, (_in_words(answer) for answer in row.answers))) for row in self.sheet.rows
        )
        words = ", ".join(filter(None, rows))
        whole = f"{self.title}: {words}." if words else f"{self.title}, all as offered."
        room = self.app.size.width - ROOM_OF_THE_ANSWERS
        return (
            whole
            if cell_len(whole) <= room
            else f"{set_cell_size(whole, room - 1).rstrip()}{self.signs.more}"
        )

    def _ask(self) -> None:
        self.note(())
        super()._ask()

    def refused(self, error: HerdbookError) -> None:
        """Give the slip back after the chore refused, with the cursor in the field that is wrong."""
        fault = error.faults[0] if isinstance(error, SeveralRefused) else error
        said, width = on_screen(str(error)), self.app.size.width - ROOM_OF_THE_SIGN
        if cell_len(said) > width:  # what to do about it stands at its end
            self.note(wrap(said, width))
        name = self._name_of(fault.field) if isinstance(fault, Refused) else ""
        self.not_written(str(error), name=name)

    def _name_of(self, label: str) -> str:
        for name, ask in self._chore.draft.asks().items():
            if label in (name, ask.label) or label.startswith(f"{ask.label} "):
                return name + FIRST if isinstance(ask, Several) and isinstance(ask.each, Pair) else name
        return ""


def _in_words(answer: Answer) -> str:
    """What was understood where that is short, else the text with its unit."""
    if not answer.resolved.strip():
        return ""
    shown = answer.understood.shown if answer.understood else ""
    if shown and len(shown) <= LONG_SHOWN:
        return plain(shown)
    bare = answer.resolved[-1:].isdigit() and answer.unit_word
    return plain(f"{answer.resolved} {answer.unit_word}" if bare else answer.resolved)

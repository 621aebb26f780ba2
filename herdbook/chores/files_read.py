"""Asking for what was read from a file: the file itself, known again by its hash, and whole rows of fields."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from herdbook.chores.asking import Ask
from herdbook.chores.ground import Ground
from herdbook.chores.repeated import Several
from herdbook.errors import ChoreRefused, Refused, SeveralRefused
from herdbook.plain import plain

if TYPE_CHECKING:
    from herdbook.chores.doing import Doing
    from herdbook.chores.drafting import ChoreDraft

LONGEST_FILE_NAME = 200
LONGEST_ROW = 20_000
_FILE = re.compile(r"(?P<sha256>[0-9a-f]{64}) (?P<lines>[0-9]{1,8}) (?P<name>.{1,200})")


@dataclass(frozen=True, slots=True, kw_only=True)
class FileRead(Ask):
    """The file that something was read from: hash, lines and name; `herdbook import` fills it in."""

    def understand(self, text: str, ground: Ground) -> tuple[str, str, int]:
        typed = self.short(text, LONGEST_FILE_NAME + 80)
        found = _FILE.fullmatch(typed)
        if found is None:
            raise self._cannot(typed[:40])
        value = (found["name"], found["sha256"], int(found["lines"]))
        self.check(value)
        return value

    def _cannot(self, typed: str) -> Refused:
        return Refused(
            f"{self.label}: {plain(typed)!r} is not a file that was read.",
            remedy="Leave it empty; `herdbook import` fills it in.",
            field=self.label,
        )

    def shown(self, value: tuple[str, str, int], ground: Ground) -> str:
        return f"{value[0]}, {value[2]} lines"

    def typed_again(self, value: tuple[str, str, int], ground: Ground) -> str:
        return f"{value[1]} {value[2]} {value[0]}"

    def check(self, value: object) -> None:
        if not isinstance(value, tuple | list) or len(value) != 3:
            raise self._cannot("that")
        name, sha256, lines = value
        if not isinstance(name, str) or name != plain(name, longest=LONGEST_FILE_NAME) or not name:
            raise self._cannot(str(name))
        if not isinstance(sha256, str) or not re.fullmatch("[0-9a-f]{64}", sha256):
            raise self._cannot(str(sha256))
        if not isinstance(lines, int) or isinstance(lines, bool) or not 0 <= lines <= 10**8:
            raise self._cannot(str(lines))


def keep_file(doing: Doing, kind: str, value: tuple[str, str, int] | None) -> None:
    """Write that a file was read, so that it is known again; nothing where there was none.

    Raises:
        ChoreRefused: a standing entry has read it already.
    """
    from herdbook.book.reading.read_files import file_read_before
    from herdbook.book.tables import ReadFile

    if value is not None:
        name, sha256, lines = value
        before = file_read_before(doing.book, kind, sha256)
        if before is not None and before["entry"] != doing.corrects:
            raise ChoreRefused(
                f"{name} was read already: entry {before['entry']} of {before['farm_day']}.",
                remedy="Strike that entry to read it again.",
            )
        doing.add(ReadFile(kind=kind, sha256=sha256, name=name, lines=lines))


@dataclass(frozen=True, kw_only=True)
class RowOfFields(Ask):
    """All fields of one draft on one line, as a JSON object of field and typed text.

    Args:
        draft: the draft whose fields they are.
    """

    draft: type[ChoreDraft]

    @cached_property
    def asks(self) -> Mapping[str, Ask]:
        """The draft's asks."""
        return self.draft.asks()

    def understand(self, text: str, ground: Ground) -> dict[str, Any]:
        typed = text.strip()
        if len(typed) > LONGEST_ROW:
            raise self._refused("that is too long for one row.")
        try:
            texts = json.loads(typed, parse_constant=_no_constant)
        except (ValueError, RecursionError):
            raise self._refused(f"{plain(typed, longest=40)!r} is not a JSON object of fields.") from None
        if not isinstance(texts, dict) or not all(_is_text(one) for one in texts.values()):
            raise self._refused("a JSON object of field and text is wanted.")
        return self.of_texts(texts, ground)

    def of_texts(self, texts: Mapping[str, str | list[str]], ground: Ground) -> dict[str, Any]:
        """The draft of typed texts as JSON keeps it; raises `Refused` for all that is wrong."""
        from herdbook.chores.drafting import understand_fields

        try:
            return understand_fields(self.draft, texts, ground).model_dump(mode="json")
        except SeveralRefused as error:
            raise self._refused(" ".join(fault.message for fault in error.faults), error.faults[0]) from None
        except Refused as error:
            raise self._refused(error.message, error) from None

    def _refused(self, said: str, error: Refused | None = None) -> Refused:
        remedy = (error.remedy if error else "") or 'Type {"field": "text", ...}.'
        return Refused(f"{self.label}: {said}", remedy=remedy, field=self.label)

    def made(self, value: object) -> ChoreDraft:
        """The draft of a kept value.

        Raises:
            Refused: it is not one.
        """
        try:
            return self.draft.model_validate(value)
        except Refused as error:
            raise self._refused(error.message, error) from None
        except ValueError:
            raise self._refused("that is not a row of fields.") from None

    def check(self, value: object) -> None:
        if not isinstance(value, dict):
            raise self._refused("a row of fields is wanted.")
        self.made(value)

    def stands(self, value: Any, ground: Ground) -> None:
        try:
            self.made(value).see_things_stand(ground)
        except Refused as error:
            raise self._refused(error.message, error) from None

    def shown(self, value: dict[str, Any], ground: Ground) -> str:
        draft = self.made(value)
        given = {name: getattr(draft, name) for name in self.asks}
        return ", ".join(
            f"{self.asks[name].label} {self.asks[name].shown(one, ground)}"
            for name, one in given.items()
            if one
        )

    def typed_again(self, value: dict[str, Any], ground: Ground) -> str:
        draft, texts = self.made(value), {}
        for name, ask in self.asks.items():
            one = getattr(draft, name)
            if one is None or one == "" or one == []:
                continue
            texts[name] = (
                [ask.each.typed_again(line, ground) for line in one]
                if isinstance(ask, Several)
                else ask.typed_again(one, ground)
            )
        return json.dumps(texts, ensure_ascii=False)


def _is_text(value: object) -> bool:
    return isinstance(value, str) or (isinstance(value, list) and all(isinstance(one, str) for one in value))


def _no_constant(word: str) -> Any:
    raise ValueError(word)

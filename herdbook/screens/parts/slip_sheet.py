"""The rows of a slip, what is typed in them and where the cursor is, without any drawing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Protocol

from herdbook.screens.parts.answer import Answer
from herdbook.screens.parts.says import Kind
from herdbook.screens.parts.understood import Understood

Texts = dict[str, str | list[str]]


class SlipAsk(Protocol):
    """One question of a slip.

    It may also have `present: str`, the value that stays when it is left empty, and `cells: int`, the width
    of the place typed in.
    """

    @property
    def name(self) -> str: ...
    @property
    def label(self) -> str: ...
    @property
    def unit_word(self) -> str: ...
    @property
    def required(self) -> bool: ...
    @property
    def hint(self) -> str: ...
    @property
    def repeated(self) -> bool:
        """Whether it is asked again and again; repeated neighbours are asked together, in one row."""

    def understand(self, text: str) -> Understood: ...
    def choices(self) -> Sequence[str] | None: ...


@dataclass
class SlipRow:
    """One row: one question, or one round of the questions that are repeated together."""

    asks: Sequence[SlipAsk]
    answers: list[Answer]
    group: int

    @property
    def blank(self) -> bool:
        return not any(answer.text.strip() for answer in self.answers)

    @property
    def repeated(self) -> bool:
        return self.asks[0].repeated


def _row(asks: Sequence[SlipAsk], group: int) -> SlipRow:
    answers = [
        Answer(
            ask.label,
            ask.unit_word,
            ask.hint,
            getattr(ask, "present", ""),
            ask.required,
            ask.understand,
            ask.choices,
            getattr(ask, "cells", 0),
        )
        for ask in asks
    ]
    return SlipRow(asks, answers, group)


class SlipSheet:
    """All rows of a slip and the place of the cursor.

    Args:
        asks: the questions, in order; names are all different.
        texts: what stands in the fields at first, by name: a draft, or the entry to correct.
    """

    def __init__(
        self, asks: Sequence[SlipAsk], texts: Mapping[str, str | Sequence[str]] | None = None
    ) -> None:
        if not asks:
            raise ValueError("a slip asks at least one question")
        self.rows: list[SlipRow] = []
        self.row = 0
        self.cell = 0
        runs = [
            run
            for repeated, asked in groupby(asks, key=lambda ask: ask.repeated)
            for run in ([list(asked)] if repeated else [[ask] for ask in asked])
        ]
        for group, run in enumerate(runs):
            self._add_rows(run, group, texts or {})

    def _add_rows(self, run: Sequence[SlipAsk], group: int, texts: Mapping[str, str | Sequence[str]]) -> None:
        if not run[0].repeated:
            row = _row(run, group)
            given = texts.get(run[0].name, "")
            row.answers[0].put(given if isinstance(given, str) else "")
            self.rows.append(row)
            return
        columns = [
            [given] if isinstance(given := texts.get(ask.name, []), str) else list(given) for ask in run
        ]
        for number in range(max(map(len, columns))):
            row = _row(run, group)
            for answer, column in zip(row.answers, columns, strict=True):
                answer.put(column[number] if number < len(column) else "")
            self.rows.append(row)
        self.rows.append(_row(run, group))

    # -- where the cursor is --------------------------------------------------------------------------

    @property
    def answer(self) -> Answer:
        return self.rows[self.row].answers[self.cell]

    @property
    def places(self) -> list[tuple[int, int]]:
        return [(at, cell) for at, row in enumerate(self.rows) for cell in range(len(row.answers))]

    @property
    def at_last(self) -> bool:
        return (self.row, self.cell) == self.places[-1]

    def step(self, by: int) -> bool:
        """Move the cursor through all fields; says whether it moved."""
        places = self.places
        to = places.index((self.row, self.cell)) + by
        if not 0 <= to < len(places):
            return False
        self.leave()
        self.row, self.cell = places[to]
        return True

    def step_rows(self, by: int) -> bool:
        """Move the cursor by whole rows, to the first field of the row."""
        to = min(max(self.row + by, 0), len(self.rows) - 1)
        if to == self.row:
            return False
        self.leave()
        self.row, self.cell = to, 0
        return True

    def leave(self) -> None:
        """Finish with the field under the cursor: a part of a name becomes the name, the text is read."""
        self.answer.take()
        self.read()

    FIRST = "0 0"

    @property
    def place(self) -> str:
        """Where the cursor is, as text."""
        return f"{self.row} {self.cell}"

    def answers_by_place(self) -> list[tuple[str, Answer]]:
        """Every answer with its place as text."""
        return [(f"{at} {cell}", self.rows[at].answers[cell]) for at, cell in self.places]

    def go_to_place(self, place: str) -> None:
        """Put the cursor back there, where there is such a place."""
        for at, cell in self.places:
            if place == f"{at} {cell}":
                self.row, self.cell = at, cell

    def go_to(self, name: str) -> bool:
        """Put the cursor in the first field of that name; says whether there is one."""
        for at, cell in self.places:
            if self.rows[at].asks[cell].name == name:
                self.row, self.cell = at, cell
                return True
        return False

    # -- reading and going on -------------------------------------------------------------------------

    def read(self) -> None:
        """Read every field: what one means may hang on another (a weight on the dipstick above it)."""
        for answer in self._answers():
            answer.read()

    def _answers(self) -> Iterator[Answer]:
        for row in self.rows:
            yield from row.answers

    def go_on(self) -> tuple[bool, str, Kind]:
        """Try to leave the field by Enter. A filled round opens another; an empty one ends the rounds.

        Returns:
            Whether it went on, and else the sentences for the say line and their kind. Going on from the
            last field leaves the cursor there; see `finished`.
        """
        row = self.rows[self.row]
        self._settle_needs(row)
        if row.repeated and row.blank and not row.answers[0].required:
            self._after_group(row.group)
            return True, "", "said"
        goes_on, sentences, kind = self.answer.press_enter()
        if not goes_on:
            return False, sentences, kind
        self.read()
        if row.repeated and self.cell == len(row.answers) - 1 and self._is_last_of_group(self.row):
            self.rows.insert(self.row + 1, _row(row.asks, row.group))
        self.step(1)
        return True, "", "said"

    def _settle_needs(self, row: SlipRow) -> None:
        """A round left blank needs nothing, unless it is the only one and the round itself is needed."""
        if row.repeated:
            first_needed = row.asks[0].required and not self._filled(row.group)
            for cell, answer in enumerate(row.answers):
                needed = first_needed if cell == 0 else False
                answer.required = needed if row.blank else row.asks[cell].required or cell == 0

    def _filled(self, group: int) -> list[SlipRow]:
        return [row for row in self.rows if row.group == group and not row.blank]

    def _is_last_of_group(self, at: int) -> bool:
        return at + 1 == len(self.rows) or self.rows[at + 1].group != self.rows[at].group

    def _after_group(self, group: int) -> None:
        last = max(at for at, row in enumerate(self.rows) if row.group == group)
        self.row = min(last + 1, len(self.rows) - 1)
        self.cell = 0 if self.row > last else len(self.rows[last].answers) - 1
        if self.row == last:
            self.cell = 0

    @property
    def ends_here(self) -> bool:
        """Whether Enter on this field, when it can be left, is the end of the slip."""
        row = self.rows[self.row]
        if not self._is_last_of_group(self.row) or self.row + 1 < len(self.rows):
            return False
        return row.blank if row.repeated else True

    def first_unsettled(self) -> tuple[str, Kind] | None:
        """Put the cursor in the first field that cannot be written and say why; None when all can."""
        self.read()
        for at, row in enumerate(self.rows):
            self._settle_needs(row)
            for cell, answer in enumerate(row.answers):
                answer.take()
                if not answer.settled:
                    _, sentences, kind = answer.press_enter()
                    if answer.settled:
                        continue
                    self.row, self.cell = at, cell
                    return sentences, kind
        return None

    # -- what is typed --------------------------------------------------------------------------------

    def texts(self, *, resolved: bool = False) -> Texts:
        """Give what is typed by name; repeated names give lists, blank rounds left out.

        Args:
            resolved: names picked by a part of them are given in full.
        """
        found: Texts = {}
        for row in self.rows:
            for ask, answer in zip(row.asks, row.answers, strict=True):
                text = answer.resolved if resolved else answer.text
                if not row.repeated:
                    found[ask.name] = text
                    continue
                column = found.setdefault(ask.name, [])
                if not row.blank and isinstance(column, list):
                    column.append(text)
        return found

    def summary(self) -> str:
        """Give what was understood of all fields in one line: the read-back's first words, or the text."""
        parts = []
        for answer in self._answers():
            if answer.text.strip():
                shown = answer.understood.shown if answer.understood else ""
                parts.append(shown if shown and len(shown) <= 24 and shown != "ok" else _with_unit(answer))
        return ", ".join(part.removesuffix("ok").strip() for part in parts)


def _with_unit(answer: Answer) -> str:
    bare = answer.resolved[-1:].isdigit() and answer.unit_word
    return (
        f"{answer.resolved} {answer.unit_word}"
        if bare
        else f"{answer.label.lower()} {answer.resolved}".strip()
    )

"""How Enter at the mixer writes: weights, drops, loads; what could poison waits for Y, and a key held down waits."""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence

from herdbook.errors import HerdbookError
from herdbook.screens.feeding_scale import Reading
from herdbook.screens.feeding_slips import FeedingSlips
from herdbook.screens.feeding_view import InView
from herdbook.screens.parts.number_field import NumberField

REPEATS_S = 0.25
"""A key held down comes again faster than this; a person presses more slowly."""
SETTLES_S = 0.7
"""The first repeat of a held key comes within this of the press."""


class FeedingWriting(FeedingSlips):
    """The part of the feeding place that writes what stands in its field."""

    scale: NumberField
    view: InView

    def __init__(self) -> None:
        super().__init__()
        self._entered = self._taken = 0.0

    def is_held_down(self, *, offered: bool) -> bool:
        """Whether an Enter on what is offered only comes of a key held down: a feed is never in within a second."""
        now, before = time.monotonic(), self._entered
        self._entered = now
        if not offered:
            return False
        if now - before < REPEATS_S or now - self._taken < SETTLES_S:
            return True
        self._taken = now
        return False

    def write_value(self, value: object) -> None:
        if isinstance(value, Reading):
            self.write_reading(value)
        elif isinstance(value, dict):
            self.write_texts("drop", value)

    def write_reading(self, reading: Reading) -> None:
        """Write a weight; one that could poison only after the key Y."""
        if reading.stop:
            self.ask(f"{reading.stop} Write it?", lambda: self._weigh(reading), key="y")
        else:
            self._weigh(reading)

    def _weigh(self, reading: Reading) -> None:
        texts: Mapping[str, str | Sequence[str]] = reading.texts
        if reading.corrects is not None:
            texts = self._corrected(reading)
        self.write_texts("weigh", texts, corrects=reading.corrects)

    def _corrected(self, reading: Reading) -> Mapping[str, str | Sequence[str]]:
        """A weight that was written, with another reading: its time stays."""
        from herdbook.book.opening import reading as reading_book
        from herdbook.book.reading.entries import entry
        from herdbook.screens.chore_slip import texts_of_entry

        assert self.ground is not None
        assert reading.corrects is not None
        with reading_book(self.desk.path) as connection:
            row = entry(connection, reading.corrects)
        before = {} if row is None else texts_of_entry(self.desk.chore("weigh"), row["asked"], self.ground)
        kept = {name: text for name, text in before.items() if name not in ("scale", "weight", "sure")}
        return {**kept, **reading.texts}

    def write_texts(
        self, chore: str, texts: Mapping[str, str | Sequence[str]], corrects: int | None = None
    ) -> None:
        desk, request, clock = self.desk, self._request, self._clock()
        self.scale.writing()
        self.view.goes_on = True
        self.write(
            lambda: f"{clock}  Written: {desk.write(chore, texts, request=request, corrects=corrects)}",
            then=lambda: self._written(corrects),
            refused=self._not_written,
        )

    def _written(self, corrected: int | None = None) -> None:
        self.view.going_back = False
        self.field_is_written(self.scale)
        self._offer_next_reading(corrected)

    def _not_written(self, error: HerdbookError) -> None:
        self.scale.not_written(str(error))

    def _slip_is_written(self) -> None:
        slip = self.slip
        corrected = slip.form.corrects if slip is not None and slip.form.chore == "weigh" else None
        super()._slip_is_written()
        self._offer_next_reading(corrected)

    def _offer_next_reading(self, corrected: int | None) -> None:
        """After a corrected weight: offer to move the feed weighed next to what its own scale reading says."""
        if corrected is None or self.ground is None:
            return
        from herdbook.book.opening import reading
        from herdbook.book.reading.entries import entry
        from herdbook.chores.reading_after import after_correction
        from herdbook.screens.chore_slip import texts_of_entry

        with reading(self.desk.path) as connection:
            after = after_correction(connection, corrected)
            row = None if after is None else entry(connection, after.entry)
        if after is None or row is None or after.by_scale_g < 0:
            return
        number, mass = after.entry, self.ground.units.mass
        texts = texts_of_entry(self.desk.chore("weigh"), row["asked"], self.ground)
        self.ask(  # the weights first: a small screen cuts the end
            f"Reads {mass(after.by_scale_g)}, not {mass(after.written_g)}: "
            f"{self.ground.name_of('feed', after.feed)}, move it?",
            lambda: self.write_texts("weigh", texts, corrects=number),
        )

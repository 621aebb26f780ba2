"""What is typed at the mixer, held against the load: the target, doubts, what stops for a typed yes, going back."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Any

from herdbook.chores.ground import Ground
from herdbook.screens.feeding_data import AtMixer
from herdbook.screens.parts.understood import Understood

if TYPE_CHECKING:
    from herdbook.book.reading.feeding import LoadRow
    from herdbook.reports.loading_errors import LoadingError

TWICE = 2
"""Of what can poison, twice the plan is stopped at: our own, no source."""
ANOTHERS_PART = 0.25
"""A weight this far from its plan may be another feed's, if it is within that one's tolerance: our own, no source."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A weight as it is to be written: the chore's texts, what it corrects, and what only Y lets pass."""

    texts: Mapping[str, str]
    corrects: int | None = None
    stop: str = ""
    error: LoadingError | None = field(default=None, compare=False)


@dataclass(frozen=True)
class AtScale:
    """One feed of a load at the mixer's scale.

    Args:
        load: the load as it stands.
        feed: which feed; it is in the plan.
        mixing: what is known of the load.
        ground: the farm's units and names.
    """

    load: LoadRow
    feed: int
    mixing: AtMixer
    ground: Ground

    @cached_property
    def name(self) -> str:
        """The feed's name."""
        return self.ground.name_of("feed", self.feed)

    @cached_property
    def planned_g(self) -> int:
        """What is planned of it."""
        return self.mixing.judge.planned.get(self.feed, 0)

    @cached_property
    def mine(self) -> list[Any]:
        """Its weights that stand, oldest first."""
        return [row for row in self.load.weighed if row["feed"] == self.feed]

    @cached_property
    def by_hand(self) -> bool:
        """Whether it is too small for the mixer's scale, and weighed by hand."""
        from herdbook.science.load_split import too_small_for_scale

        return too_small_for_scale(self.planned_g, self.mixing.judge.step_mg)

    @cached_property
    def target_g(self) -> int:
        """What the scale should show, on its step; of a feed weighed by hand its own weight."""
        step_mg = self.mixing.judge.step_mg
        if self.by_hand:
            return self.planned_g
        steps = (2000 * (self.load.loaded_g + self.planned_g) + step_mg) // (2 * step_mg)
        return round(steps * step_mg / 1000)

    @property
    def label(self) -> str:
        """The word before the field."""
        if self.mine:
            return "Was really"
        return "By hand" if self.by_hand else "Scale reads"

    @property
    def hint(self) -> str:
        """What stands beside the empty field."""
        units = self.ground.units
        if self.mine:
            read = self.mine[-1]["loaded_g"] if self.by_hand else self._shown_then
            return f"{self.name}, written as {units.mass(read)}"
        if self.by_hand:
            return f"{self.name} {units.mass(self.planned_g, 1)}, not on the mixer's scale"
        return f"{self.name} to {units.mass(self.target_g)}"

    def target(self) -> Reading:
        """What Enter writes while nothing is typed."""
        way = "weight" if self.by_hand else "scale"
        grams = self.planned_g if self.by_hand else max(self.target_g - self.load.loaded_g, 0)
        return Reading(self._texts(way, self._exactly(self.target_g)), error=self._judged(grams))

    def understand(self, text: str) -> Understood:
        """Read what was typed: the scale's running total, or the weight of a feed weighed by hand."""
        from herdbook.chores.weighing import WeighDraft

        asks = WeighDraft.asks()
        way = "weight" if self.by_hand else "scale"
        read_g: int = asks[way].understand(text, self.ground)
        if self.mine and (self.by_hand or read_g < self.load.loaded_g):
            return self._correction(way, text, read_g)
        grams = read_g if self.by_hand else read_g - self.load.loaded_g
        if grams < 0:
            was = self.ground.units.mass(self.load.loaded_g)
            return Understood(
                error=f"{was} is in already. Read the scale again; ↑ goes back to put it right."
            )
        return self._understood(self._texts(way, text), grams, self.in_g + grams)

    @cached_property
    def in_g(self) -> int:
        """What is in of it."""
        return sum(row["loaded_g"] for row in self.mine)

    @cached_property
    def _before_g(self) -> int:
        """What the scale showed before the newest of its weights."""
        newest = self.mine[-1]
        return sum(row["loaded_g"] for row in self.load.weighed[: self.load.weighed.index(newest)])

    @property
    def _shown_then(self) -> int:
        return self._before_g + int(self.mine[-1]["loaded_g"])

    def _correction(self, way: str, text: str, read_g: int) -> Understood:
        grams = read_g if self.by_hand else read_g - self._before_g
        if grams < 0:
            was = self.ground.units.mass(self._before_g)
            return Understood(error=f"{was} was in before {self.name}. Type what the scale read after it.")
        newest = self.mine[-1]
        total_g = self.in_g - newest["loaded_g"] + grams
        return self._understood(self._texts(way, text), grams, total_g, corrects=newest["entry"])

    def _understood(
        self, texts: dict[str, str], grams: int, total_g: int, corrects: int | None = None
    ) -> Understood:
        units, error = self.ground.units, self._judged(total_g)
        texts = {**texts, "sure": "yes"} if self._is_tenfold(grams) else texts
        why = self._doubt(grams, total_g)
        stop = f"{self.name} {units.mass(grams)}: {why}." if why and self.feed in self.mixing.careful else ""
        reading = Reading(texts, corrects, stop, error)
        sign = "+" if error.off_g >= 0 else ""
        off = f"{sign}{units.mass(error.off_g)}"
        if stop:
            return Understood(value=reading, shown=f"{self.name} {units.mass(grams)}, ! {off}, {why}")
        if why:
            return Understood(value=reading, ask=f"{why}? {units.mass(grams)} {self.name}")
        look = f"! {off}" if error.is_off else f"{off}  ok"
        right = "corrected: " if corrects is not None else ""
        return Understood(value=reading, shown=f"{right}{self.name} {units.mass(grams)}, {look}")

    def _doubt(self, grams: int, total_g: int) -> str:
        """Why a weight cannot be quite right, in a few words; empty where nothing speaks against it."""
        units, planned = self.ground.units, self.planned_g
        if not planned:
            return ""
        if self._is_tenfold(grams):
            times = f"{grams / planned:.0f}"
            return f"{'ten' if times == '10' else times} times {units.mass(planned)}"
        most_g = self.mixing.most_g.get(self.feed)
        if most_g is not None and total_g > most_g:
            return f"over {units.mass(most_g)}, their most a day"
        other = self._anothers(grams)
        if other is not None:
            return f"as much as {self.ground.name_of('feed', other)} asks"
        if self.feed in self.mixing.careful and total_g >= TWICE * planned:
            return f"{total_g / planned:.1f} times {units.mass(planned)}"
        return ""

    def _is_tenfold(self, grams: int) -> bool:
        from herdbook.chores.mixing import is_tenfold

        return is_tenfold(grams, self.planned_g)

    def _anothers(self, grams: int) -> int | None:
        """The feed still to come that such a weight fits, where it does not fit this one at all."""
        if abs(grams - self.planned_g) <= ANOTHERS_PART * self.planned_g:
            return None
        judge, done = self.mixing.judge, {row["feed"] for row in self.load.weighed}
        waiting = (feed for feed in judge.planned if feed != self.feed and feed not in done)
        fits = (feed for feed in waiting if not judge.judge(feed, grams, with_moves=False).is_off)
        return next(fits, None)

    def _judged(self, total_g: int) -> LoadingError:
        return self.mixing.judge.judge(self.feed, total_g)

    def _texts(self, way: str, text: str) -> dict[str, str]:
        return {"load": f"{self.load.farm_day} {self.load.number}", "feed": self.name, way: text}

    def _exactly(self, grams: int) -> str:
        from herdbook.chores.weighing import WeighDraft

        return WeighDraft.asks()["scale"].typed_again(grams, self.ground)


def in_sentences(error: LoadingError | None, load: LoadRow, ground: Ground) -> str:
    """What an error does to the ration and what could still mend it; empty while the feed is within its tolerance."""
    from herdbook.reports.loading_errors import in_words, mend_in_words

    if error is None or not error.is_off:
        return ""
    mend = "" if load.dropped else mend_in_words(error, ground)
    return f"{in_words(error, ground)} {mend}".strip()


def newest_error(load: LoadRow, mixing: AtMixer) -> LoadingError | None:
    """The feed weighed last, where it is off."""
    if not load.weighed:
        return None
    feed = load.weighed[-1]["feed"]
    error = mixing.judge.judge(feed, mixing.judge.loaded.get(feed, 0))
    return error if error.is_off else None


def to_be_read(mixing: AtMixer | None, load: LoadRow, ground: Ground) -> Iterator[str]:
    """Every caution of a load's feeds, and every error in it with what it does."""
    for feed, notes in (mixing.notes if mixing else {}).items():
        yield from (f" {ground.name_of('feed', feed)}: {note}" for note in notes)
    for error in mixing.judge.errors() if mixing else ():
        yield f" {in_sentences(error, load, ground)}"

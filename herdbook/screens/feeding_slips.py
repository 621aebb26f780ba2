"""What is written at the mixer and the bunk through slips: loads, drops, refusals, scores, cows of the walk."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from herdbook.screens import keys
from herdbook.screens.book_place import WRITE, BookPlace
from herdbook.screens.feeding_data import FeedingData, waiting_pens
from herdbook.screens.feeding_drawing import score_lines, vet_lines
from herdbook.screens.parts.lines import heading
from herdbook.screens.sheet import Wrapped

if TYPE_CHECKING:
    from herdbook.book.reading.feeding import LoadRow
    from herdbook.book.reading.walk import WalkRow
    from herdbook.screens.chore_slip import ChoreSlip

SLIP_KEYS = (
    WRITE,
    keys.Key("feeding.load", "l", "new_load", "new load", "Begins a load beside the plan."),
    keys.Key("feeding.drop", "d", "drop", "drop", "Writes what a pen got."),
    keys.Key("feeding.refused", "r", "refused", "refused", "Writes what was weighed back from a pen."),
    keys.Key("feeding.bunk", "b", "score", "bunk", "Scores a bunk; the scale's own words stand above."),
    keys.Key(
        "feeding.walk", "o", "off_feed", "off feed", "Writes a cow seen off feed, lame, slow or calving."
    ),
    keys.Key("feeding.closed", "k", "close_cow", "close cow", "Closes a cow of the walk: how it ended."),
    keys.Key("feeding.vet", "v", "vet", "vet", "Lists the signs that mean: call the veterinarian now."),
    keys.Key("feeding.push", "p", "push_up", "push up", "Writes that feed was pushed up."),
    keys.Key("feeding.head", "h", "heads", "heads", "Counts the cows of a pen."),
)


VET_GOVERNS = "Common practice; what your own veterinarian says goes before it. This book gives no diagnosis."


class FeedingSlips(BookPlace):
    """The part of the feeding place that opens slips, with what the book knows standing in their fields."""

    def __init__(self) -> None:
        super().__init__()
        self.beside = Wrapped("Esc, then V lists all", id="beside")
        self._data: FeedingData | None = None

    @property
    def load_in_view(self) -> LoadRow | None:
        """The load that is looked at."""
        raise NotImplementedError

    # -- loads and drops --

    def action_new_load(self) -> None:
        """Begin a load for the pen that comes next and the feeding it is at."""
        texts: dict[str, str | Sequence[str]] = {"pen": (hungry := self._hungry())}
        if hungry and (feeding := self._feeding_of(hungry[0])) > 1:
            texts["feeding"] = str(feeding)
        self.open_chore("load", texts=texts)

    def _feeding_of(self, pen: str) -> int:
        """Which feeding of today a pen is at."""
        assert self._data is not None
        number = next(one.pen.pen for one in self._data.pens if one.pen.name == pen)
        begun = [load for load in self._data.loads if number in {row["pen"] for row in load.pens}]
        return 1 + len(begun)

    def _hungry(self) -> list[str]:
        """The pen whose load comes next: of those with feedings left today, the one with the fewest begun."""
        if self._data is None:
            return []
        begun = Counter(row["pen"] for load in self._data.loads for row in load.pens)
        waiting = [one for one in self._data.pens if one.ask_g and begun[one.pen.pen] < one.feedings]
        return [one.pen.name for one in sorted(waiting, key=lambda one: begun[one.pen.pen])][:1]

    def action_drop(self) -> None:
        """Write what a pen got out of the load in view: the next in walking order, its share of what is left."""
        load = self.load_in_view
        texts = {} if load is None else {"load": str(load.number)}
        if load is not None and self.ground is not None and load.pens:
            waiting = waiting_pens(load)
            texts["pen"] = self.ground.name_of("pen", waiting[0] if waiting else load.pens[0]["pen"])
            if len(waiting) <= 1 and load.loaded_g > load.dropped_g:  # the last pen gets what is in the mixer
                texts["weight"] = self.ground.units.mass(load.loaded_g - load.dropped_g, with_unit=False)
            elif load.load in self._mixing:
                texts |= self._shared_out(load)
        self.open_chore("drop", texts=texts)

    @property
    def _mixing(self) -> Sequence[int]:
        return () if self._data is None else tuple(self._data.mixing)

    def _shared_out(self, load: LoadRow) -> dict[str, str]:
        from herdbook.screens.feeding_drops import Dropping

        assert self._data is not None
        assert self.ground is not None
        walk = tuple(one.pen.pen for one in self._data.pens)
        dropping = Dropping(load, self._data.mixing[load.load], self.ground, walk)
        weight = self.ground.units.mass(dropping.offered_g, with_unit=False)
        return {"pen": dropping.pen_name, "weight": weight}

    # -- at the bunk --

    def action_refused(self) -> None:
        """Write what was weighed back."""
        left = [
            one.pen.name
            for one in (self._data.pens if self._data else ())
            if one.yesterday.drop_entries and not one.yesterday.refusal_entries
        ]
        self.open_chore("refusal", texts={"pen": left[0]} if left else {})

    def action_score(self) -> None:
        """Score the bunk of the next pen that has no score today."""
        left = [
            one.pen.name for one in (self._data.pens if self._data else ()) if one.score is None and one.ask_g
        ]
        self.open_chore("bunk-score", texts={"pen": left[0]} if left else {})

    def action_push_up(self) -> None:
        """Write that feed was pushed up."""
        self.open_chore("push-up")

    def action_heads(self) -> None:
        """Count the cows of a pen."""
        self.open_chore("head")

    # -- the walk --

    def action_off_feed(self) -> None:
        """Write a cow that was seen; off feed unless something else is typed."""
        self.open_chore("walk", texts={"what": "off feed"})

    def look_again(self, cow: str, what: str) -> None:
        """Write another look at a cow of the walk."""
        one = self._on_the_walk(cow, what)
        texts = {"cow": cow, "what": what}
        if one is not None and self.ground is not None:
            texts["earlier"] = f"#{one.walk}"
            if one.newest["pen"] is not None:
                texts["pen"] = self.ground.name_of("pen", one.newest["pen"])
        self.open_chore("walk", texts=texts)

    def close_look(self, cow: str, what: str) -> None:
        """Close a cow of the walk."""
        one = self._on_the_walk(cow, what)
        self.open_chore("walk-close", texts={"walk": f"{cow} {what}"} if one is not None else {})

    def _on_the_walk(self, cow: str, what: str) -> WalkRow | None:
        walks = self._data.walks if self._data is not None else ()
        return next((one for one in walks if one.cow == cow and one.newest["what"] == what), None)

    def action_close_cow(self) -> None:
        """Close a cow of the walk; the only one at once."""
        walks = self._data.walks if self._data is not None else ()
        if not walks:
            self.say("No cow of the walk is open.")
            return
        self.open_chore("walk-close", texts={"walk": f"{walks[0].cow} {walks[0].newest['what']}"})

    def action_vet(self) -> None:
        """List the signs that mean: call the veterinarian now."""
        lines: list[Text | str] = [*vet_lines(), "", f" {VET_GOVERNS}"]
        self.open_sheet("CALL THE VETERINARIAN NOW", "Esc closes", lines)

    # -- what stands beside a slip --

    def open_slip(self, slip: ChoreSlip) -> None:  # type: ignore[override]
        """Let a slip rise, with the words it is filled by above it."""
        self._show_beside(getattr(getattr(slip, "form", None), "chore", ""))
        super().open_slip(slip)
        self.add_class("-slip")  # a small screen has no room for pens besides

    def close_slip(self) -> None:
        """Take the slip and the words above it away."""
        self._show_beside("")
        super().close_slip()
        self.remove_class("-slip")

    def _show_beside(self, chore: str) -> None:
        """The bunk scale's own words, or the signs that mean: call the veterinarian now."""
        lines: list[Text] = []
        width = self.size.width
        if chore == "bunk-score" and self._data is not None:
            scale = self._data.scale
            lines = [heading("BUNK SCORES", f"{scale} scale", width, self.home.signs), *score_lines(scale)]
        elif chore == "walk":
            lines = vet_lines()
        if self.beside.is_attached:
            self.beside.show(lines)
            self.set_class(bool(lines), "-beside")

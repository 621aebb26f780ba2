"""How the feeding place draws the day's loads, one load's feeds, the pens and the cows of the walk."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.cells import cell_len
from rich.text import Text

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.screens.feeding_data import FeedingData, is_dropped
from herdbook.screens.feeding_scale import AtScale
from herdbook.screens.parts.gauge import gauge
from herdbook.screens.parts.lines import pieces
from herdbook.screens.parts.rows_table import Column, Row, RowsTable
from herdbook.screens.parts.signs import SignSet

if TYPE_CHECKING:
    from herdbook.book.reading.feeding import LoadRow
    from herdbook.book.reading.walk import WalkRow
    from herdbook.chores.day_plan import PlannedLoad
    from herdbook.screens.feeding_data import AtMixer, PenMorning

LEAST_GAUGE = 8
"""A gauge of fewer cells says nothing."""
SCORE_CELLS = 11
PLANNED, BEGUN = "plan", "load"
"""How rows of the day's loads are keyed: `plan 2` is not begun, `load 17` is."""


def load_columns(unit: str) -> list[Column]:
    """The columns of the day's loads."""
    return [
        Column("Load", 14, grows=True),
        Column("Feeding", 7, align="right", from_width=74),
        Column("Cows", 5, align="right", from_width=66),
        Column(f"Plan {unit}", 7, align="right"),
        Column("In", 7, align="right"),
        Column("Dropped", 7, align="right"),
        Column("", 9),
    ]


def feed_columns(unit: str) -> list[Column]:
    """The load's columns; weights in the farm's unit for loads."""
    return [
        Column("Feed", 14, grows=True),
        Column(f"Add {unit}", 7, align="right"),
        Column("Scale to", 8, align="right"),
        Column("Scale read", 10, align="right"),
        Column("Off by", 8, align="right"),
    ]


def pen_columns(unit: str) -> list[Column]:
    """The pens' columns."""
    return [
        Column("Pen", 8, grows=True),
        Column("Cows", 4, align="right", from_width=66),
        Column(f"Ask {unit}", 7, align="right"),
        Column("Dropped", 7, align="right"),
        Column("At", 5, align="right", from_width=66),
        Column("Refused", 7, align="right"),
        Column("of fed", 6, align="right"),
        Column("Bunk", 4),
        Column("", SCORE_CELLS - 4, from_width=74),
    ]


class LoadsTable(RowsTable):
    """The day's loads; says why there are none."""

    def said_when_empty(self, words: str) -> None:
        """Say this while there is no load."""
        self._empty = words
        self.freshen()


@dataclass(frozen=True)
class Drawing:
    """Draws what was read, in the farm's units and the terminal's signs."""

    data: FeedingData
    ground: Ground
    signs: SignSet

    # -- the day's loads --

    def load_rows(self) -> list[Row]:
        """Every load of the day: those of the plan in its order, then those begun beside it."""
        rows = []
        for one in self.data.plan.loads:
            rows += [self._begun(load, one) for load in one.begun] or [self._not_begun(one)]
        return rows + [self._begun(load, None) for load in self.data.plan.others]

    def _not_begun(self, one: PlannedLoad) -> Row:
        from herdbook.reports.feeding_plan import pens_in_words

        units, split = self.ground.units, one.split
        cells = (
            f"{one.number}  {pens_in_words(one, self.ground)}",
            str(one.feeding),
            str(split.head),
            units.mass(split.total_g, with_unit=False),
            "–",
            "–",
            "small" if split.is_under_least else "",
        )
        return Row(f"{PLANNED} {one.number}", cells)

    def _begun(self, load: LoadRow, one: PlannedLoad | None) -> Row:
        from herdbook.reports.loads import is_weighed_in, pens_of

        units = self.ground.units
        done = is_dropped(load)
        state = "dropped" if done else "in" if is_weighed_in(load) else "mixing" if load.weighed else "begun"
        its = f" {self.signs.look}" if self.is_off(load) else ""
        cells: tuple[Text | str, ...] = (
            f"{load.number}  {pens_of(load, self.ground)}",
            "–" if load.feeding is None else str(load.feeding),
            str(load.head),
            units.mass(load.planned_g, with_unit=False),
            units.mass(load.loaded_g if load.weighed else None, with_unit=False),
            units.mass(load.dropped_g if load.dropped else None, with_unit=False),
            pieces(state, (its, "hay")),
        )
        return Row(f"{BEGUN} {load.load}", cells, Text(self.signs.done, "clover") if done else "")

    def is_off(self, load: LoadRow) -> bool:
        """Whether any feed of a load is off by more than it may be."""
        lines = self.data.report.table("feeds").lines
        return any(line["load"].value == load.number and line["off_percent"].flag for line in lines)

    # -- one load --

    def load_title(self, load: LoadRow, width: int) -> tuple[Text, Text]:
        """`Load 2 of 4  High, 52 cows  ━━━──` and `641 of 2,642 lb`."""
        from herdbook.reports.loads import pens_of

        units = self.ground.units
        count = sum(max(1, len(one.begun)) for one in self.data.plan.loads) + len(self.data.plan.others)
        whole = load.planned_g
        if load.dropped:
            weight = f"dropped {units.mass(load.dropped_g, with_unit=False)} of {units.mass(load.loaded_g)}"
            part, whole = load.dropped_g, load.loaded_g
        else:
            weight = f"{units.mass(load.loaded_g, with_unit=False)} of {units.mass(whole)}"
            part = load.loaded_g
        title = pieces((f"Load {load.number} of {count}", "bold"))
        title.append(f"  {plain(pens_of(load, self.ground))}, {load.head} cows  ")
        title.append_text(self._recounted(load))
        room = width - cell_len(title.plain) - len(weight) - 4
        if room >= LEAST_GAUGE:
            title.append_text(gauge(part, max(whole, 1), min(room, 30), signs=self.signs))
        return title, Text(weight, "bold")

    def _recounted(self, load: LoadRow) -> Text:
        mixing = self.data.mixing.get(load.load)
        said = Text()
        for pen, (_, now) in (mixing.recounted if mixing else {}).items():
            name = f"{self.ground.name_of('pen', pen)} " if len(load.pens) > 1 else ""
            said.append_text(pieces((f"{self.signs.look} {plain(name)}{now} cows now", "warn"), " "))
        return said

    def feed_rows(self, load: LoadRow, mixing: AtMixer) -> list[Row]:
        """A load's feeds in order: what to add, what the scale should show, what it read, how far that is off."""
        units, running, aim = self.ground.units, 0, 0
        rows = []
        for row in load.planned:
            mine = [w for w in load.weighed if w["feed"] == row["feed"]]
            name = self.ground.name_of("feed", row["feed"])
            at = AtScale(load, row["feed"], mixing, self.ground)
            add = f"{units.mass(row['planned_g'], 1 if at.by_hand else 0, with_unit=False)}"
            if mine:
                loaded = sum(w["loaded_g"] for w in mine)
                running = max(running, *(w["scale_g"] or 0 for w in mine))
                aim = max(aim, running)
                cells: tuple[Text | str, ...] = (
                    name,
                    Text(add, "dust"),
                    Text(units.mass(running - loaded + row["planned_g"], with_unit=False), "dust"),
                    units.mass(running, with_unit=False),
                    self._off(at, loaded),
                )
                rows.append(Row(str(row["feed"]), cells, Text(self.signs.done, "clover")))
                continue
            aim += row["planned_g"]
            careful = Text(self.signs.look, "hay") if mixing.notes.get(row["feed"]) else ""
            to = "by hand" if at.by_hand else units.mass(aim, with_unit=False)
            rows.append(Row(str(row["feed"]), (name, add, to, "–", ""), careful))
        return rows + list(self._not_planned(load))

    def _not_planned(self, load: LoadRow) -> Iterator[Row]:
        planned = {row["feed"] for row in load.planned}
        for row in load.weighed:
            if row["feed"] not in planned:
                scale = self.ground.units.mass(row["scale_g"], with_unit=False)
                odd = Text(f"{self.signs.look} not planned", "warn")
                cells = (self.ground.name_of("feed", row["feed"]), "–", "–", scale, odd)
                yield Row(str(row["feed"]), cells, Text(self.signs.look, "warn"))

    def _off(self, at: AtScale, loaded_g: int) -> Text:
        judged = at.mixing.judge.judge(at.feed, loaded_g, with_moves=False)
        words = f"{'+' if judged.off_g >= 0 else ''}{self.ground.units.mass(judged.off_g, with_unit=False)}"
        return Text(f"{self.signs.look} {words}", "warn") if judged.is_off else Text(words)

    # -- pens and cows --

    def pen_rows(self) -> list[Row]:
        """Every pen in walking order."""
        return [self._pen(one) for one in self.data.pens]

    def _pen(self, one: PenMorning) -> Row:
        units = self.ground.units
        refused = one.yesterday.refused_g if one.yesterday.refusal_entries else None
        percent = one.yesterday.refused_percent.number
        score, meaning = (
            ("–", "") if one.score is None else self._score(one.score["scale"], one.score["score"])
        )
        cells = (
            one.pen.name,
            "–" if one.head is None else str(one.head),
            units.mass(one.ask_g, with_unit=False),
            units.mass(one.today.dropped_g if one.today.drop_entries else None, with_unit=False),
            "–" if one.last_drop_s is None else self.ground.clock.shown_time(one.last_drop_s),
            units.mass(refused, with_unit=False),
            "–" if percent is None else f"{units.number(percent, 1)} %",
            score,
            meaning,
        )
        return Row(str(one.pen.pen), cells)

    def _score(self, scale: str, score: str) -> tuple[str, str]:
        from herdbook.science.bunk_scores import bunk_score

        return score, bunk_score(scale=scale, score=score).meaning.partition(",")[0]

    def walk_lines(self, width: int) -> list[Text]:
        """`Off feed   ! 214 High, since 06:20   ! 87 Late, second look`: cows of the walk nobody has closed."""
        seen: dict[str, list[str]] = {}
        for one in self.data.walks:
            seen.setdefault(one.newest["what"], []).append(self._cow(one))
        return [self._cows(what, cows, width) for what, cows in seen.items()]

    def _cow(self, one: WalkRow) -> str:
        newest = one.newest
        pen = "" if newest["pen"] is None else f" {self.ground.name_of('pen', newest['pen'])}"
        since = one.looks[0]["seen_at"]
        today = self.ground.clock.farm_day(since) == self.ground.clock.farm_day(self.ground.now_s)
        when = self.ground.clock.shown_time(since) if today else self.ground.clock.shown(since)
        looks = f", look {len(one.looks)}" if len(one.looks) > 1 else ""
        return plain(f"{one.cow}{pen}, since {when}{looks}")

    def _cows(self, what: str, cows: Sequence[str], width: int) -> Text:
        line = pieces("   ", (f"{what[:1].upper()}{what[1:]}".ljust(9), "bold"))
        for at, cow in enumerate(cows):
            piece = pieces(" ", (self.signs.look, "warn"), f" {cow} ")
            rest = f" {len(cows) - at} more, F2"
            if at and cell_len(line.plain) + cell_len(piece.plain) + len(rest) > width:
                line.append(rest, "dust")
                break
            line.append_text(piece)
        return line


def score_lines(scale: str) -> list[Text]:
    """The steps of a bunk scale, in its own words."""
    from herdbook.science.bunk_scores import bunk_scores

    steps = [step for step in bunk_scores() if step.scale == scale]
    return [pieces("   ", (f"{step.score:<4}", "bold"), step.meaning) for step in steps]


def vet_lines() -> list[Text]:
    """The signs in a cow that mean: call the veterinarian now."""
    from herdbook.chores.vet_signs import CALL_NOW

    return [pieces(" ", ("Call the veterinarian now for a cow that is or has", "hay"))] + [
        pieces("   ", ("·  ", "hay"), sign) for sign in CALL_NOW
    ]

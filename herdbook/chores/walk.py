"""The walk: cows somebody saw, what was done, when to look again; it gives no diagnosis."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from herdbook.book.reading import walk as read_walk
from herdbook.book.reading.walk import WalkRow
from herdbook.book.tables import Walk, WalkClosed, WalkNote
from herdbook.chores.asking import Ask, Name, Word, Words, YesNo
from herdbook.chores.doing import HAND, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.ground import Ground
from herdbook.chores.moments import Moment
from herdbook.clock import parse_moment, span_words
from herdbook.errors import Refused

SEEN = ("off feed", "lame", "slow", "calving", "other")

VET_HELP = (
    "whether the veterinarian was called: at once for a cow that is down, blown up, bleeding, staggering or calving "
    "without progress; more signs in `herdbook manual walk`"
)
AHEAD_DAYS = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Later(Ask):
    """An instant that may lie ahead: `+4` hours, `1800` (tomorrow when it has passed), or a day and time."""

    def understand(self, text: str, ground: Ground) -> int:
        typed = self.short(text, 40)
        hours = re.fullmatch(r"\+\s*([0-9]{1,3})\s*h?", typed)
        if hours:
            value = ground.now_s + 3600 * int(hours[1])
        else:
            value = parse_moment(typed, clock=ground.clock, now_s=ground.now_s, field=self.label)
            if value < ground.now_s and re.fullmatch(r"[0-9]{1,2}[:.]?[0-9]{2}", typed):
                value = parse_moment(typed, clock=ground.clock, now_s=ground.now_s + 86_400, field=self.label)
        if not ground.now_s - 400 * 86_400 <= value <= ground.now_s + AHEAD_DAYS * 86_400:
            raise Refused(
                f"{self.label}: {ground.clock.iso(value)} is too far off.",
                remedy=f"Look again within {AHEAD_DAYS} days: +4 is in four hours.",
                field=self.label,
            )
        return value

    def shown(self, value: int, ground: Ground) -> str:
        away = value - ground.now_s
        span = f"in {span_words(away)}" if away >= 0 else f"{span_words(away)} ago"
        return f"{ground.clock.shown(value)}, {span}"

    def typed_again(self, value: int, ground: Ground) -> str:
        return ground.clock.iso(value)

    def check(self, value: object) -> None:
        if not isinstance(value, int) or not 631_152_000 <= value <= 7_258_118_400:
            raise Refused(f"{self.label}: {value!r} is not an instant.", field=self.label)


@dataclass(frozen=True, slots=True, kw_only=True)
class WalkName(Ask):
    """Something seen on the walk: by the cow's number where only one is open, by `412 lame`, or by `#3`."""

    def choices(self, ground: Ground) -> Sequence[str]:
        return list(ground.names.get("walk", {}))

    def understand(self, text: str, ground: Ground) -> int:
        typed = self.short(text, 80)
        if re.fullmatch(r"#[1-9][0-9]{0,11}", typed):
            return int(typed[1:])
        known = ground.names.get("walk", {})
        fitting = [walk for name, walk in known.items() if name.lower() == typed.lower()] or [
            walk for name, walk in known.items() if name.lower().startswith(f"{typed.lower()} ")
        ]
        if typed and len(set(fitting)) == 1:
            return fitting[0]
        several = ", ".join(name for name, walk in known.items() if walk in fitting)
        raise Refused(
            f"{self.label}: {typed!r} {'could be ' + several if fitting else 'is not on the walk'}.",
            remedy="Type the cow's number and what was seen: 412 lame. See `herdbook show walk`.",
            field=self.label,
        )

    def shown(self, value: int, ground: Ground) -> str:
        return next(
            (name for name, walk in ground.names.get("walk", {}).items() if walk == value), f"#{value}"
        )

    def typed_again(self, value: int, ground: Ground) -> str:
        return f"#{value}"

    def check(self, value: object) -> None:
        if not isinstance(value, int) or not 1 <= value < 10**12:
            raise Refused(f"{self.label}: {value!r} is not on the walk.", field=self.label)


class WalkDraft(ChoreDraft):
    """A cow that somebody saw; the signs in `vet_signs` mean: call the veterinarian now."""

    cow: Annotated[str, Words(label="cow", help="her number", least=1, longest=30)]
    what: Annotated[str, Word(label="what", help="what was seen", words=SEEN)]
    words: Annotated[str, Words(label="words", help="more of what was seen", longest=300)] = ""
    pen: Annotated[int | None, Name(label="pen", help="in which pen", thing="pen")] = None
    done: Annotated[str, Words(label="done", help="what was done", longest=300)] = ""
    again: Annotated[
        int | None, Later(label="again", help="look at her again when: +4 is in four hours, or 1800")
    ] = None
    vet: Annotated[
        bool,
        YesNo(label="vet", help=VET_HELP),
    ] = False
    earlier: Annotated[
        int | None, WalkName(label="earlier", help="what this is another look at: 412 lame")
    ] = None
    seen: Annotated[int | None, Moment(label="seen", help="when; now if not given")] = None


@chore("walk", "a cow seen on the walk", WalkDraft, roles=[HAND])
def see_cow(doing: Doing, draft: WalkDraft) -> str:
    """Write what was seen of a cow; it comes back on Today until it is closed."""
    seen_at = draft.seen or doing.ground.now_s
    if draft.again is not None and draft.again <= seen_at:
        raise Refused("again: that is not after she was seen.", remedy="Type a later time.", field="again")
    if draft.earlier is not None:
        walk = standing_walk(doing, draft.earlier, "earlier", cow=draft.cow).walk
    else:
        walk = doing.identity(Walk, "walk_note")
    doing.farm_day = doing.ground.clock.farm_day(seen_at)
    doing.add(
        WalkNote(
            walk=walk,
            cow=draft.cow,
            pen=draft.pen,
            seen_at=seen_at,
            what=draft.what,
            words=draft.words,
            done=draft.done,
            watch_again_at=draft.again,
            vet_called=draft.vet,
        )
    )
    parts = [f"Cow {draft.cow}: {draft.what}"]
    parts += [draft.words] * bool(draft.words) + [f"done: {draft.done}"] * bool(draft.done)
    parts += ["veterinarian called"] * draft.vet
    if draft.again is not None:
        parts.append(f"look again {doing.ground.clock.shown(draft.again)}")
    return f"{', '.join(parts)}."


class WalkCloseDraft(ChoreDraft):
    """How it ended."""

    walk: Annotated[int, WalkName(label="walk", help="the cow's number, or 412 lame")]
    outcome: Annotated[str, Words(label="outcome", help="how it ended", least=1, longest=300)]
    closed: Annotated[int | None, Moment(label="closed", help="when; now if not given")] = None


@chore("walk-close", "a cow of the walk closed", WalkCloseDraft, roles=[HAND])
def close_walk(doing: Doing, draft: WalkCloseDraft) -> str:
    """Close something seen on the walk; nobody is reminded of it any more."""
    its = standing_walk(doing, draft.walk, "walk")
    if its.closed is not None and its.closed["entry"] != doing.corrects:
        raise Refused(
            f"walk: cow {its.cow} was closed by entry {its.closed['entry']}.",
            remedy="Correct that entry, or write what is seen now with `herdbook write walk`.",
            field="walk",
        )
    closed_at = draft.closed or doing.ground.now_s
    if closed_at < its.looks[0]["seen_at"]:
        raise Refused("closed: that is before she was seen.", remedy="Check the time.", field="closed")
    doing.farm_day = doing.ground.clock.farm_day(closed_at)
    doing.add(WalkClosed(walk=its.walk, closed_at=closed_at, outcome=draft.outcome))
    return f"Cow {its.cow}, {its.newest['what']}, is closed: {draft.outcome}."


def standing_walk(doing: Doing, walk: int, label: str, *, cow: str = "") -> WalkRow:
    """Something seen on the walk that stands.

    Raises:
        Refused: it was struck, never was, or is of another cow.
    """
    found = next((one for one in read_walk.walks(doing.book, since_s=0) if one.walk == walk), None)
    if found is None:
        raise Refused(
            f"{label}: it is not in the book, or was struck.", remedy="See `herdbook show walk`.", field=label
        )
    if cow and found.cow.lower() != cow.lower():
        raise Refused(
            f"{label}: that is cow {found.cow}, not {cow}.", remedy="Give her own, or none.", field=label
        )
    return found

"""What the nutritionist sets: ration versions, and which pen gets which ration; and the mixers."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Annotated, Any

from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading import rations as read_rations
from herdbook.book.tables import (
    Mixer,
    MixerCard,
    PenRation,
    Ration,
    RationCard,
    RationItem,
    RationVersion,
)
from herdbook.chores.asking import Count, Name, Word, Words
from herdbook.chores.cautions import Caution, cautions_of_items
from herdbook.chores.doing import NUTRITIONIST, OWNER, Doing, chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.files_read import FileRead, keep_file
from herdbook.chores.ground import Ground
from herdbook.chores.meanwhile import ask_seen, see_nothing_newer
from herdbook.chores.measures import ask_per_head, ask_scale_step, ask_share, ask_weight, is_dm
from herdbook.chores.moments import Day
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import ChoreRefused, Refused

AHEAD_DAYS = 120
FILE_KIND = "ration"
SHORTEST_REASON = 5
"""Letters under which nothing can be a reason."""
LONGEST_NOTE, LONGEST_SAID = 2_000, 1_700


class RationDraft(ChoreDraft):
    """A ration's items per head and day, from a feeding of a day on; the first version names the ration."""

    name: Annotated[
        str,
        Words(label="name", help="the ration's name; a known one gets its next version", least=1, longest=60),
    ]
    item: Annotated[
        list[tuple[int, int, str]],
        Several(
            label="item",
            help="feed=amount a head and day, repeated in loading order",
            each=Pair(label="item", first=Name(label="feed", thing="feed"), second=ask_per_head("amount")),
            least=1,
        ),
    ]
    basis: Annotated[
        str,
        Word(
            label="basis", help="whether the amounts are as fed or dry matter", words=("as fed", "dry matter")
        ),
    ] = "as fed"
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=AHEAD_DAYS)
    ] = None
    feeding: Annotated[
        int, Count(label="feeding", help="from which feeding of that day", least=1, most=12)
    ] = 1
    despite: Annotated[
        str,
        Words(label="despite", help="the reason to pass a caution, where one stands in the way", longest=300),
    ] = ""
    file: Annotated[
        tuple[str, str, int] | None, FileRead(label="file", help="the file; `herdbook import` fills it in")
    ] = None
    seen: Annotated[int | None, ask_seen("the version")] = None


@chore("ration", "a ration version", RationDraft, roles=[NUTRITIONIST])
def set_ration(doing: Doing, draft: RationDraft) -> str:
    """Write a version of a ration; earlier versions stay as they were."""
    since = draft.since or doing.ground.clock.farm_day(doing.ground.now_s)
    ration = _ration(doing, draft.name)
    versions = read_rations.versions(doing.book, ration)
    see_nothing_newer(
        doing, draft.seen, ((one.entry, f"wrote version {one.version} of {draft.name}") for one in versions)
    )
    _see_feeds(doing, draft, since.isoformat())
    cautions = _see_cautions(doing, draft)
    number = 1 + max((known.version for known in versions), default=0)
    if doing.corrects is not None:
        number = next((one.version for one in versions if one.entry == doing.corrects), number)
    version = doing.put(
        RationVersion(ration=ration, version=number, from_day=since.isoformat(), from_feeding=draft.feeding)
    )
    for place, (feed, mg, typed) in enumerate(draft.item, start=1):
        basis = basis_of(typed, draft.basis)
        doing.add(RationItem(ration_version=version, place=place, feed=feed, basis=basis, mg=mg, typed=typed))
    keep_file(doing, FILE_KIND, draft.file)
    of_day = f", feeding {draft.feeding}" if draft.feeding > 1 else ""
    said = (
        f"Ration {draft.name}, version {number}, {len(draft.item)} feeds, from {since.isoformat()}{of_day}."
    )
    return said + said_of_cautions(cautions)


def _ration(doing: Doing, name: str) -> int:
    known = {
        ration_name.lower(): ration for ration_name, ration in doing.ground.names.get("ration", {}).items()
    }
    named = None if doing.corrects is None else _card_of(doing, doing.corrects)
    if name.lower() in known:
        ration = known[name.lower()]
        if named is not None and named != ration:
            raise Refused(
                f"name: there is already a ration called {name}.",
                remedy="Strike the entry, and write it as that ration's next version.",
                field="name",
            )
        if named is not None:
            doing.add(RationCard(ration=ration, name=name))  # the corrected entry had named it
        return ration
    ration = doing.identity(Ration, "ration_card")
    doing.add(RationCard(ration=ration, name=name))
    return ration


def _card_of(doing: Doing, entry: int) -> int | None:
    from herdbook.book.reading.entries import rows_of

    card = rows_of(doing.book, entry).get("ration_card")
    return int(card[0]["ration"]) if card else None


def _see_feeds(doing: Doing, draft: RationDraft, day: str) -> None:
    """Refuse feeds that come twice or have no dry matter."""
    seen: set[int] = set()
    for feed, _, _ in draft.item:
        name = doing.ground.name_of("feed", feed)
        if feed in seen:
            raise Refused(
                f"item {name}: it stands in the ration twice.", remedy="Give each feed once.", field="item"
            )
        seen.add(feed)
        if read_feeds.dry_matter_at(doing.book, feed, doing.ground.now_s, day) is None:
            raise ChoreRefused(
                f"{name} has no dry matter yet.", remedy="Write its analysis or a dry-matter test first."
            )


def cautions_of(
    connection: Any, ground: Ground, draft: RationDraft, *, corrects: int | None = None
) -> list[Caution]:
    """Every caution of a version that is about to be written, the hard ones first; for a preview too.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        draft: the version.
        corrects: the entry it stands in the place of, if it does.
    """
    return cautions_of_items(
        connection,
        ground,
        [(feed, mg, basis_of(typed, draft.basis)) for feed, mg, typed in draft.item],
        day=(draft.since or ground.clock.farm_day(ground.now_s)).isoformat(),
        at_s=ground.now_s,
        ration=next(
            (
                number
                for name, number in ground.names.get("ration", {}).items()
                if name.lower() == draft.name.lower()
            ),
            None,
        ),
        without_entry=corrects,
    )


def basis_of(typed: str, otherwise: str) -> str:
    """The basis of one item: dry matter where its amount says so, else the version's."""
    return "dry matter" if is_dm(typed) else otherwise


def _see_cautions(doing: Doing, draft: RationDraft) -> list[Caution]:
    """Refuse a version with a hard caution and no reason; the reason goes in the entry.

    Returns:
        The cautions, to be said.

    Raises:
        ChoreRefused: with every hard caution and its source.
    """
    found = cautions_of(doing.book, doing.ground, draft, corrects=doing.corrects)
    hard = [one.says for one in found if one.hard]
    if hard and len(draft.despite) < SHORTEST_REASON:
        raise ChoreRefused(
            " ".join(hard),
            remedy="Change it, or give the reason in words with `despite`; the reason goes in the book.",
        )
    if hard:
        kinds = ", ".join(dict.fromkeys(one.key for one in found if one.hard))
        doing.note = f"{doing.note} Despite the caution ({kinds}): {draft.despite}".strip()[:LONGEST_NOTE]
    return found


def said_of_cautions(found: Sequence[Caution]) -> str:
    """Cautions in one run of sentences, short enough for an entry."""
    if not found:
        return ""
    said = " ".join(one.says for one in found)
    return f" Cautions: {said}"[:LONGEST_SAID]


class PenRationDraft(ChoreDraft):
    """Which ration a pen gets."""

    pen: Annotated[int, Name(label="pen", help="which pen", thing="pen")]
    ration: Annotated[int, Name(label="ration", help="which ration", thing="ration")]
    since: Annotated[
        date | None, Day(label="since", help="from which day; today if not given", ahead_days=AHEAD_DAYS)
    ] = None
    feeding: Annotated[
        int, Count(label="feeding", help="from which feeding of that day", least=1, most=12)
    ] = 1
    call: Annotated[
        int,
        ask_share(
            "call", least_ppm=100_000, most_ppm=3_000_000, help="what is fed, as a share of the set intake"
        ),
    ] = 1_000_000
    feedings: Annotated[int, Count(label="feedings", help="how many feedings a day", least=1, most=12)] = 1


@chore("pen-ration", "a pen's ration", PenRationDraft, roles=[NUTRITIONIST, OWNER])
def set_pen_ration(doing: Doing, draft: PenRationDraft) -> str:
    """Write which ration a pen gets from a feeding of a day on."""
    since = draft.since or doing.ground.clock.farm_day(doing.ground.now_s)
    doing.add(
        PenRation(
            pen=draft.pen,
            ration=draft.ration,
            from_day=since.isoformat(),
            from_feeding=draft.feeding,
            call_ppm=draft.call,
            feedings=draft.feedings,
        )
    )
    pen, ration = doing.ground.name_of("pen", draft.pen), doing.ground.name_of("ration", draft.ration)
    return f"{pen} gets {ration} from {since.isoformat()}, {draft.call / 10_000:g} % call."


class MixerDraft(ChoreDraft):
    """A mixer."""

    name: Annotated[str, Words(label="name", help="as the barn calls it", least=1, longest=60)]
    holds: Annotated[int, ask_weight("holds", help="the most it mixes well")]
    step: Annotated[int, ask_scale_step("scale step", help="the step of its scale")]
    least: Annotated[int | None, ask_weight("least load", help="the least it mixes well")] = None


@chore("mixer", "a mixer", MixerDraft, roles=[NUTRITIONIST])
def add_mixer(doing: Doing, draft: MixerDraft) -> str:
    """Write a mixer."""
    doing.free_name("mixer", draft.name)
    if draft.step > draft.holds * 1000:
        raise Refused(
            "scale step: it is more than the mixer holds.", remedy="Check both.", field="scale step"
        )
    if draft.least is not None and draft.least > draft.holds:
        raise Refused(
            "least load: it is more than the mixer holds.", remedy="Check both.", field="least load"
        )
    mixer = doing.identity(Mixer, "mixer_card")
    doing.add(
        MixerCard(
            mixer=mixer, name=draft.name, capacity_g=draft.holds, step_mg=draft.step, least_g=draft.least
        )
    )
    return f"Mixer {draft.name}, holds {doing.farm.units.mass(draft.holds)}."

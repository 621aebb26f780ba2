"""Dry-matter tests on the farm: subsamples, the change that matters, and what it does to the rations fed."""

from __future__ import annotations

from fractions import Fraction
from statistics import mean, stdev
from typing import Annotated, Any

from herdbook.book.reading import feeds as read_feeds
from herdbook.book.tables import DrySample, DryTest
from herdbook.chores.analyses import one_of_both
from herdbook.chores.analysis_sanity import dry_matter_doubts
from herdbook.chores.asking import Name, Words, YesNo
from herdbook.chores.doing import HAND, NUTRITIONIST, Doing, chore
from herdbook.chores.drafting import ChoreDraft, raise_all
from herdbook.chores.dry_effect import effect_of_dry_matter
from herdbook.chores.dry_limits import SPREAD_PPM, STEP_PPM, TESTER_PPM
from herdbook.chores.ground import Ground
from herdbook.chores.measures import Measure, ask_share
from herdbook.chores.moments import Moment
from herdbook.chores.nutrient_asks import MILLION
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import ChoreRefused, Refused
from herdbook.units import MASS_MG


def _ask_sample_weight(label: str) -> Measure:
    return Measure(label=label, kept=MASS_MG, unit=lambda _: "g", least=1_000, most=100_000_000, decimals=1)


class DryTestDraft(ChoreDraft):
    """A dry-matter test on the farm: the share found, or the weights it was found by."""

    feed: Annotated[int, Name(label="feed", help="which feed", thing="feed")]
    dry: Annotated[int | None, ask_share("dry matter", help="share of dry matter found")] = None
    moisture: Annotated[
        int | None,
        ask_share("moisture", least_ppm=0, most_ppm=999_999, help="moisture found, in place of dry matter"),
    ] = None
    sample: Annotated[
        list[tuple[int, int, str]],
        Several(
            label="sample",
            help="weight before drying=weight after, repeated: `100 g=35.2 g`",
            each=Pair(label="sample", first=_ask_sample_weight("before"), second=_ask_sample_weight("after")),
            most=20,
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    tested: Annotated[int | None, Moment(label="tested", help="when; now if not given")] = None
    method: Annotated[str, Words(label="method", help="oven, microwave, tester", longest=60)] = ""
    sure: Annotated[
        bool, YesNo(label="sure", help="yes, though it is a long step from the last, or looks like moisture")
    ] = False


@chore("dry-matter", "a dry-matter test", DryTestDraft, roles=[HAND, NUTRITIONIST])
def test_dry_matter(doing: Doing, draft: DryTestDraft) -> str:
    """Write a dry-matter test; it governs loads from then on."""
    tested_at = draft.tested or doing.ground.now_s
    day = doing.ground.clock.farm_day(tested_at)
    dry_ppm = dry_ppm_of(draft)
    _see_it_is_meant(doing, draft, dry_ppm, tested_at)
    said = [said_of_test(doing, draft, dry_ppm, tested_at)]
    said += effect_of_dry_matter(doing.book, doing.ground, draft.feed, dry_ppm, at_s=tested_at)
    test = doing.put(
        DryTest(
            feed=draft.feed,
            tested_at=tested_at,
            dry_ppm=dry_ppm,
            method=draft.method,
            typed=_typed(draft),
        )
    )
    for wet_mg, dried_mg, _ in draft.sample:
        doing.add(DrySample(dry_test=test, wet_mg=wet_mg, dried_mg=dried_mg))
    doing.farm_day = day
    return " ".join(said)


def effect_foretold(connection: Any, ground: Ground, draft: DryTestDraft) -> tuple[str, ...]:
    """What a test would change in the rations in force, for reading before it is accepted.

    Args:
        connection: the book.
        ground: the farm's clock, units and names.
        draft: the test as it is about to be written.
    """
    at_s = draft.tested or ground.now_s
    dry_ppm = dry_ppm_of(draft)
    effect = effect_of_dry_matter(connection, ground, draft.feed, dry_ppm, at_s=at_s)
    governs = f"{ground.name_of('feed', draft.feed)} at {dry_ppm / 10_000:.1f} % from the next load on."
    return (governs, *(effect or ("No ration in force changes by it.",)))


def dry_ppm_of(draft: DryTestDraft) -> int:
    """Dry matter found: mean of the subsamples, or the share that was given.

    Raises:
        Refused: nothing was given, a subsample gained weight, or what was given twice disagrees.
    """
    if not draft.sample:
        return one_of_both(draft.dry, draft.moisture)
    found = subsamples_ppm(draft)
    dry_ppm = max(1, round(mean(found)))
    given = draft.dry if draft.dry is not None or draft.moisture is None else MILLION - draft.moisture
    if given is not None:
        one_of_both(draft.dry, draft.moisture)
        if abs(given - dry_ppm) > 1_000:
            raise Refused(
                f"dry matter: {given / 10_000:g} % was given, the samples make {dry_ppm / 10_000:.1f} %.",
                remedy="Give one of them.",
                field="dry matter",
            )
    return dry_ppm


def subsamples_ppm(draft: DryTestDraft) -> list[Fraction]:
    """Dry matter of each subsample, in parts per million.

    Raises:
        Refused: one weighs more dried than before.
    """
    faults = [
        Refused(
            f"sample {place}: {dried / 1000:g} g dried is more than the {wet / 1000:g} g before.",
            remedy="Type the weight before drying first.",
            field="sample",
        )
        for place, (wet, dried, _) in enumerate(draft.sample, start=1)
        if dried > wet
    ]
    raise_all(faults)
    return [Fraction(dried * MILLION, wet) for wet, dried, _ in draft.sample]


def said_of_test(doing: Doing, draft: DryTestDraft, dry_ppm: int, tested_at: int) -> str:
    """The test in words: what was found, how far apart the subsamples were, and how it moved."""
    spread = _spread_words(draft)
    before = _before(doing, draft.feed, tested_at)
    moved = ""
    if before is not None:
        points = (dry_ppm - before.dry_ppm) / 10_000
        moved = f", was {before.dry_ppm / 10_000:.1f} % ({before.since}): "
        if abs(points) * 10_000 < TESTER_PPM:
            moved += "within 2 points, what testers differ by"
        else:
            moved += f"{abs(points):.1f} points {'drier' if points > 0 else 'wetter'}"
    name = doing.ground.name_of("feed", draft.feed)
    return f"{name}: dry matter {dry_ppm / 10_000:.1f} %{spread}{moved}."


def _spread_words(draft: DryTestDraft) -> str:
    if len(draft.sample) < 2:
        return ""
    found = [float(one) / 10_000 for one in subsamples_ppm(draft)]
    far = max(found) - min(found) > SPREAD_PPM / 10_000
    apart = f", {len(found)} samples from {min(found):.1f} to {max(found):.1f} %, standard deviation {stdev(found):.1f}"
    return f"{apart} (far apart: mix, and test again)" if far else apart


def _before(doing: Doing, feed: int, tested_at: int) -> read_feeds.DryMatter | None:
    """What governed before: a corrected entry's own test does not count."""
    day = doing.ground.clock.farm_day(tested_at).isoformat()
    found = read_feeds.dry_matter_at(doing.book, feed, tested_at, day)
    if found is None or found.entry != doing.corrects:
        return found
    return read_feeds.dry_matter_at(doing.book, feed, tested_at - 1, day)


def _see_it_is_meant(doing: Doing, draft: DryTestDraft, dry_ppm: int, tested_at: int) -> None:
    """Ask once more before a long step, or a figure that looks like moisture, governs loads.

    Raises:
        ChoreRefused: nobody said that they are sure.
    """
    if draft.sure:
        return
    name = doing.ground.name_of("feed", draft.feed)
    before = _before(doing, draft.feed, tested_at)
    step_ppm = doing.farm.dry_step_ppm or STEP_PPM
    if before is not None and abs(dry_ppm - before.dry_ppm) > step_ppm:
        effect = effect_of_dry_matter(doing.book, doing.ground, draft.feed, dry_ppm, at_s=tested_at)
        points = abs(dry_ppm - before.dry_ppm) / 10_000
        raise ChoreRefused(
            f"{name}: {dry_ppm / 10_000:.1f} % is {points:.1f} points from {before.dry_ppm / 10_000:.1f} % "
            f"({before.since}), more than {step_ppm / 10_000:g}. {' '.join(effect)}".strip(),
            remedy="Test again; give `sure yes` if it is right, and it governs loads from then on.",
        )
    if before is None:
        kinds = {row.feed: row.kind for row in read_feeds.feeds(doing.book)}
        for doubt in dry_matter_doubts(
            name=name, kind=kinds.get(draft.feed, ""), dry_percent=dry_ppm / 10_000, before=None
        ):
            raise ChoreRefused(
                doubt.says, remedy="Give `moisture` if it is; or `sure yes` if it is dry matter all the same."
            )


def _typed(draft: DryTestDraft) -> str:
    samples = "; ".join(f"{wet / 1000:g}={dried / 1000:g} g" for wet, dried, _ in draft.sample)
    if samples:
        return samples[:60]
    return f"moisture {(draft.moisture or 0) / 10_000:g} %" if draft.dry is None else ""

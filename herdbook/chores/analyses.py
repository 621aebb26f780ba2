"""Laboratory analyses of feeds, one by one or many read from a file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Annotated, Any

from herdbook.book.reading import feeds as read_feeds
from herdbook.book.tables import Analysis, AnalysisValue
from herdbook.chores.analysis_sanity import ASK, CANNOT, LOOK, Oddity, oddities
from herdbook.chores.asking import Name, Word, Words, YesNo
from herdbook.chores.doing import NUTRITIONIST, Doing, chore
from herdbook.chores.drafting import ChoreDraft, raise_all
from herdbook.chores.files_read import FileRead, RowOfFields, keep_file
from herdbook.chores.ground import Ground
from herdbook.chores.measures import ask_share
from herdbook.chores.moments import Day
from herdbook.chores.nutrient_asks import MILLION, NutrientKey, NutrientValue
from herdbook.chores.repeated import Pair, Several
from herdbook.errors import Refused
from herdbook.science.nutrients import nutrient

AS_RECEIVED, ON_DRY = "as received", "dry matter"
NEAR_INFRARED, WET_CHEMISTRY = "near-infrared", "wet chemistry"
METHODS = (NEAR_INFRARED, WET_CHEMISTRY, "calculated", "label", "book value")
SAID_SHORT = {"nir": NEAR_INFRARED, "nirs": NEAR_INFRARED, "icp": WET_CHEMISTRY}
PAST_100 = ("cp", "npn_cp", "rdp")
"""Shares that may pass 100 % of dry matter: nitrogen that is not protein counts for far more than its own weight."""
FILE_KIND = "analyses"
MOST_SAMPLES = 2_000
LONGEST_ASKED = 90_000
"""Letters of JSON an entry keeps of what was asked; the rows of a longer file are in the entry's rows alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Method(Word):
    """How a figure was determined; the laboratories' own short words are understood."""

    words: tuple[str, ...] = METHODS

    @property
    def kind(self) -> str:
        return "word"

    def understand(self, text: str, ground: Ground) -> str:
        return Word.understand(self, SAID_SHORT.get(text.strip().lower(), text), ground)


class AnalysisDraft(ChoreDraft):
    """What a laboratory found in a sample of a feed."""

    feed: Annotated[int, Name(label="feed", help="which feed was sampled", thing="feed")]
    dry: Annotated[int | None, ask_share("dry matter", help="dry matter of the sample")] = None
    moisture: Annotated[
        int | None,
        ask_share(
            "moisture", least_ppm=0, most_ppm=999_999, help="moisture of the sample, in place of dry matter"
        ),
    ] = None
    sampled: Annotated[
        date | None, Day(label="sampled", help="day the sample was taken; today if not given")
    ] = None
    reported: Annotated[date | None, Day(label="reported", help="day of the laboratory's report")] = None
    basis: Annotated[
        str,
        Word(
            label="basis",
            help="whether the figures are on dry matter or as received",
            words=(ON_DRY, AS_RECEIVED),
        ),
    ] = ON_DRY
    value: Annotated[
        list[tuple[str, int | None, str]],
        Several(
            label="value",
            help="nutrient=figure, repeated; `nd` where it was not determined",
            each=Pair(
                label="value", first=NutrientKey(label="nutrient"), second=NutrientValue(label="figure")
            ),
            most=100,
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    laboratory: Annotated[str, Words(label="laboratory", help="who analysed it", longest=60)] = ""
    number: Annotated[str, Words(label="number", help="the report's number", longest=60)] = ""
    method: Annotated[str | None, Method(label="method", help="how all of it was determined")] = None
    method_of: Annotated[
        list[tuple[str, str, str]],
        Several(
            label="method of",
            help="nutrient=method, repeated, where one differs from the rest: `ca=wet`",
            each=Pair(label="method of", first=NutrientKey(label="nutrient"), second=Method(label="method")),
            most=100,
        ),
    ] = []  # noqa: RUF012 (each draft gets its own copy)
    sure: Annotated[bool, YesNo(label="sure", help="yes, though it looks like a slip")] = False


@chore("analysis", "a feed analysis", AnalysisDraft, roles=[NUTRITIONIST])
def record_analysis(doing: Doing, draft: AnalysisDraft) -> str:
    """Write an analysis; figures as received are turned to dry matter where water dilutes them, others kept."""
    return _write(doing, draft)


class AnalysesDraft(ChoreDraft):
    """Many analyses read from one file."""

    sample: Annotated[
        list[dict[str, Any]],
        Several(
            label="sample",
            help="the fields of one analysis as JSON, repeated; `herdbook import analyses` makes them",
            each=RowOfFields(label="sample", draft=AnalysisDraft),
            least=1,
            most=MOST_SAMPLES,
        ),
    ]
    file: Annotated[
        tuple[str, str, int] | None, FileRead(label="file", help="the file; `herdbook import` fills it in")
    ] = None

    def model_dump(self, **options: Any) -> dict[str, Any]:
        """As it is kept: a long file's rows stand in the tables alone, once."""
        made: dict[str, Any] = super().model_dump(**options)
        if len(str(made)) > LONGEST_ASKED:
            made["sample"] = []
        return made


@chore("analyses", "analyses read from a file", AnalysesDraft, roles=[NUTRITIONIST])
def record_analyses(doing: Doing, draft: AnalysesDraft) -> str:
    """Write every analysis of a file in one entry, or none."""
    faults, odd = [], []
    for place, sample in enumerate(draft.sample, start=1):
        try:
            said = _write(doing, AnalysisDraft.model_validate(sample))
        except Refused as fault:
            faults.append(Refused(f"sample {place}: {fault.message}", remedy=fault.remedy, field="sample"))
        else:
            odd += [said] if " Look: " in said else []
    raise_all(faults)
    keep_file(doing, FILE_KIND, draft.file)
    where = f" from {draft.file[0]}" if draft.file else ""
    look = f" To look at: {len(odd)}. {' '.join(odd[:3])}" if odd else ""
    return f"{len(draft.sample)} analyses{where}.{look}"


def dry_ppm_of(draft: AnalysisDraft) -> int:
    """Dry matter of the sample, from dry matter or moisture, whichever was given.

    Raises:
        Refused: neither, or both and they disagree.
    """
    return one_of_both(draft.dry, draft.moisture)


def one_of_both(dry: int | None, moisture: int | None) -> int:
    """Dry matter in parts per million from whichever of dry matter and moisture was given.

    Raises:
        Refused: neither was, or both and they do not make the whole to a tenth of a per cent.
    """
    if dry is None and moisture is None:
        raise Refused(
            "dry matter: nothing was given.", remedy="Give dry matter, or moisture.", field="dry matter"
        )
    if dry is not None and moisture is not None and abs(dry + moisture - MILLION) > 1_000:
        raise Refused(
            f"dry matter: {dry / 10_000:g} % and moisture {moisture / 10_000:g} % do not make 100 %.",
            remedy="Give one of them.",
            field="dry matter",
        )
    if dry is not None:
        return dry
    return MILLION - (moisture or 0)


def kept_values(draft: AnalysisDraft) -> dict[str, int | None]:
    """Each nutrient in millionths of its unit on dry matter, as the book keeps it.

    Raises:
        Refused: every figure that cannot be, by its nutrient.
    """
    dry_ppm = dry_ppm_of(draft)
    kept: dict[str, int | None] = {}
    faults = []
    for key, typed, _ in draft.value:
        try:
            if key in kept:
                raise Refused(f"value {key}: given twice.", remedy="Give each nutrient once.", field="value")
            kept[key] = typed if typed is None else _on_dry_matter(key, typed, draft.basis, dry_ppm)
        except Refused as fault:
            faults.append(fault)
    raise_all(faults)
    return kept


def methods_of(draft: AnalysisDraft) -> dict[str, str]:
    """How each nutrient was determined, where it was said.

    Raises:
        Refused: a method of a nutrient that has no value, or given twice.
    """
    methods = dict.fromkeys((key for key, _, _ in draft.value), draft.method or "")
    own: set[str] = set()
    for key, method, _ in draft.method_of:
        if key not in methods or key in own:
            why = "given twice" if key in own else "it has no value"
            raise Refused(
                f"method of {key}: {why}.", remedy="Give one method for a value.", field="method of"
            )
        own.add(key)
        methods[key] = method
    return methods


def odd_in(doing_book: Any, ground: Ground, draft: AnalysisDraft) -> list[Oddity]:
    """Everything odd in an analysis that is about to be written, the gravest first; for a preview too.

    Args:
        doing_book: a connection to the book.
        ground: the farm's clock and names.
        draft: the analysis.
    """
    kept = kept_values(draft)
    values = {key: one / MILLION for key, one in kept.items() if one is not None}
    cards = {row.feed: row for row in read_feeds.feeds(doing_book)}
    sampled = draft.sampled or ground.clock.farm_day(ground.now_s)
    earlier = [
        one for one in read_feeds.analyses(doing_book, draft.feed) if one.sampled_on < sampled.isoformat()
    ]
    return oddities(
        name=ground.name_of("feed", draft.feed),
        kind=cards[draft.feed].kind if draft.feed in cards else "",
        dry_percent=dry_ppm_of(draft) / 10_000,
        values=values,
        before=earlier[-1] if earlier else None,
    )


def _write(doing: Doing, draft: AnalysisDraft) -> str:
    dry_ppm, kept, methods = dry_ppm_of(draft), kept_values(draft), methods_of(draft)
    sampled = draft.sampled or doing.ground.clock.farm_day(doing.ground.now_s)
    if draft.reported is not None and draft.reported < sampled:
        raise Refused(
            f"reported: {draft.reported.isoformat()} is before the sample was taken ({sampled.isoformat()}).",
            remedy="Check both days.",
            field="reported",
        )
    found = odd_in(doing.book, doing.ground, draft)
    see_odd(found, sure=draft.sure)
    analysis = doing.put(
        Analysis(
            feed=draft.feed,
            sampled_on=sampled.isoformat(),
            dry_ppm=dry_ppm,
            basis=draft.basis,
            laboratory=draft.laboratory,
            number=draft.number,
            reported_on=None if draft.reported is None else draft.reported.isoformat(),
        )
    )
    typed: Mapping[str, str] = {key: text for key, _, text in draft.value}
    for key, millionths in kept.items():
        doing.add(
            AnalysisValue(
                analysis=analysis, nutrient=key, millionths=millionths, typed=typed[key], method=methods[key]
            )
        )
    name = doing.ground.name_of("feed", draft.feed)
    look = [one.says for one in found if one.grave in (LOOK, ASK)]
    said = f"{name}: analysis of {sampled.isoformat()}, {dry_ppm / 10_000:.1f} % dry matter, {len(kept)} figures."
    return f"{said} Look: {'; '.join(look)}."[:1_800] if look else said


def see_odd(found: list[Oddity], *, sure: bool) -> None:
    """Refuse what cannot be, and what nobody is sure of.

    Raises:
        Refused: with the findings in words.
    """
    cannot = [one.says for one in found if one.grave == CANNOT]
    if cannot:
        raise Refused(
            f"value: {'; '.join(cannot)}.", remedy="Check the figures and their basis.", field="value"
        )
    ask = [one.says for one in found if one.grave == ASK]
    if ask and not sure:
        raise Refused(
            f"dry matter: {'; '.join(ask)}",
            remedy="Give `moisture` if it is; or `sure yes` if it is dry matter all the same.",
            field="dry matter",
        )


def _on_dry_matter(key: str, millionths: int, basis: str, dry_ppm: int) -> int:
    """The figure on dry matter, exactly; what water does not dilute (a share of protein, pH) stays as it is."""
    one = nutrient(key)
    kept = millionths
    if basis == AS_RECEIVED and one.scales:
        kept = round(Fraction(millionths) * MILLION / dry_ppm)
    if one.unit == "%" and kept > 100 * MILLION and key not in PAST_100:
        raise Refused(
            f"value {one.label}: {kept / MILLION:g} % of dry matter cannot be.",
            remedy="Check the figure and the basis.",
            field="value",
        )
    return kept

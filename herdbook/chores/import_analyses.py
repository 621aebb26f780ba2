"""From a sheet of analyses, one row a sample and one column a nutrient, to drafts; every fault by line and column."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from typing import Any

from herdbook.book.reading import feeds as read_feeds
from herdbook.book.reading.feeds import AnalysisRow
from herdbook.chores.analyses import (
    METHODS,
    MOST_SAMPLES,
    AnalysesDraft,
    AnalysisDraft,
    Method,
    dry_ppm_of,
    kept_values,
    methods_of,
    odd_in,
    see_odd,
)
from herdbook.chores.analysis_sanity import LOOK
from herdbook.chores.drafting import raise_all
from herdbook.chores.ground import Ground
from herdbook.chores.nutrient_asks import MILLION, NutrientValue
from herdbook.chores.sheets import Cell, Sheet
from herdbook.errors import Refused, SeveralRefused
from herdbook.science.nutrients import nutrients

FIELDS: Mapping[str, str] = {
    "feed": "feed",
    "dry matter": "dry",
    "dry": "dry",
    "dm": "dry",
    "moisture": "moisture",
    "sampled": "sampled",
    "reported": "reported",
    "basis": "basis",
    "laboratory": "laboratory",
    "number": "number",
    "method": "method",
    "sure": "sure",
}
"""Heading -> field of an analysis; every other heading is a nutrient, or a nutrient and `method`."""
_HEADING = re.compile(r"(?P<name>.+?)\s*(?:[(\[](?P<unit>[^)\]]*)[)\]])?")


@dataclass(frozen=True, slots=True)
class Heading:
    """What a column holds: a field, or a nutrient with the unit of its bare numbers, or a nutrient's method."""

    field: str = ""
    nutrient: str = ""
    unit: str = ""
    is_method: bool = False


@dataclass(frozen=True, slots=True)
class SampleRow:
    """One row, understood: its line, its draft, and what is to be looked at."""

    line: int
    draft: AnalysisDraft
    look: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class AnalysesRead:
    """A sheet of analyses: what would be written, and what is in the book already (line -> entry)."""

    rows: tuple[SampleRow, ...]
    known: Mapping[int, int] = field(default_factory=dict)

    def draft(self, file: tuple[str, str, int]) -> AnalysesDraft:
        """The draft that writes them."""
        return AnalysesDraft(sample=[row.draft.model_dump(mode="json") for row in self.rows], file=file)


def heading_of(text: str) -> Heading | None:
    """What a heading means: a field, `cp`, `CP (%)`, `cu [mg/kg]`, `ca method`; none where it means nothing."""
    found = _HEADING.fullmatch(text.strip())
    if found is None:
        return None
    name, unit = " ".join(found["name"].lower().replace("_", " ").split()), (found["unit"] or "").strip()
    if name in FIELDS:
        return Heading(field=FIELDS[name])
    is_method = name.endswith(" method")
    key = _nutrient(name.removesuffix(" method").strip())
    return Heading(nutrient=key, unit=unit, is_method=is_method) if key else None


def _nutrient(name: str) -> str:
    for key, one in nutrients().items():
        if name in (key.replace("_", " "), one.label.lower(), one.name.lower()):
            return key
    return ""


def is_known_heading(text: str) -> bool:
    """Whether a heading means something in a sheet of analyses."""
    return heading_of(text) is not None


def read_analyses(sheet: Sheet, connection: Any, ground: Ground) -> AnalysesRead:
    """Understand a sheet of analyses against the book.

    Args:
        sheet: the file.
        connection: the book.
        ground: the farm's units, clock and names; the sheet's own decimal mark goes before the farm's.

    Raises:
        Refused: everything that is wrong, each with line, column and value.
    """
    if sheet.decimal:
        ground = replace(ground, units=replace(ground.units, decimal=sheet.decimal))
    headings = _headings(sheet)
    if len(sheet.rows) > MOST_SAMPLES:
        raise Refused(
            f"{sheet.name}: {len(sheet.rows):,} samples.",
            remedy=f"Split it: at most {MOST_SAMPLES:,} are read at once.",
            field="file",
        )
    faults: list[Refused] = []
    drafts: list[tuple[int, AnalysisDraft]] = []
    for row in sheet.rows:
        made = _draft(row, headings, ground, faults)
        if made is not None:
            drafts.append((next(iter(row.values())).line, made))
    rows: list[SampleRow] = []
    known: dict[int, int] = {}
    seen: dict[tuple[Any, ...], int] = {}
    for line, draft in drafts:
        try:
            found = _look_at(line, draft, connection, ground, seen)
        except Refused as error:
            faults += [_at_line(line, fault) for fault in _each(error)]
        else:
            if isinstance(found, SampleRow):
                rows.append(found)
            else:
                known[line] = found
    raise_all(faults)
    return AnalysesRead(tuple(rows), known)


def _headings(sheet: Sheet) -> dict[str, Heading]:
    """Each heading's meaning.

    Raises:
        Refused: every heading that means nothing, a unit that does not fit, or no column that must be there.
    """
    made: dict[str, Heading] = {}
    faults = []
    for text in sheet.headings:
        found = heading_of(text)
        if found is None:
            names = [*FIELDS, *nutrients(), *(one.label for one in nutrients().values())]
            near = get_close_matches(text.lower(), names, 1, 0.6)
            hint = f"Did you mean {near[0]}? " if near else ""
            faults.append(
                Refused(
                    f"{sheet.column(text)}: no field and no nutrient is called so.",
                    remedy=f"{hint}Put - before the heading to leave the column out.",
                    field=text,
                )
            )
            continue
        try:
            if found.unit:
                NutrientValue(label=sheet.column(text), key=found.nutrient).factor(found.unit)
            made[text] = found
        except Refused as error:
            faults.append(error)
    faults += _missing(made, sheet)
    faults += _doubled(made, sheet)
    raise_all(faults)
    return made


def _missing(headings: Mapping[str, Heading], sheet: Sheet) -> list[Refused]:
    fields = {one.field for one in headings.values()}
    faults = []
    if "feed" not in fields:
        faults.append(
            Refused(f"{sheet.column('feed')}: it is missing.", remedy="Name each row's feed.", field="feed")
        )
    if not fields & {"dry", "moisture"}:
        faults.append(
            Refused(
                f"{sheet.column('dry matter')}: it is missing.",
                remedy="Give dry matter, or moisture.",
                field="dry matter",
            )
        )
    return faults


def _doubled(headings: Mapping[str, Heading], sheet: Sheet) -> list[Refused]:
    seen: dict[tuple[str, str, bool], str] = {}
    faults = []
    for text, one in headings.items():
        meaning = (one.field, one.nutrient, one.is_method)
        if meaning in seen:
            faults.append(
                Refused(
                    f"{sheet.column(text)}: it says the same as column {seen[meaning]}.",
                    remedy="Put - before one of the headings.",
                    field=text,
                )
            )
        seen.setdefault(meaning, text)
    return faults


def _draft(
    row: Mapping[str, Cell], headings: Mapping[str, Heading], ground: Ground, faults: list[Refused]
) -> AnalysisDraft | None:
    """A row's draft; its faults are added to those of the rows before."""
    asks = AnalysisDraft.asks()
    before = len(faults)
    values: dict[str, Any] = {"value": [], "method_of": []}
    for text, heading in headings.items():
        cell = row.get(text)
        if cell is None:
            continue
        try:
            if heading.field:
                values[heading.field] = asks[heading.field].understand(cell.text, ground)
            elif heading.is_method:
                method = Method(label="method").understand(cell.text, ground)
                values["method_of"].append((heading.nutrient, method, cell.text[:60]))
            else:
                values["value"].append(_figure(cell, heading, ground))
        except Refused as error:
            faults.append(cell.fault(_without_label(error.message), error.remedy))
    line = next(iter(row.values())).line
    for needed, fields in (("feed", ("feed",)), ("dry matter", ("dry", "moisture"))):
        columns = [text for text, one in headings.items() if one.field in fields]
        if not any(text in row for text in columns):
            faults.append(
                Refused(
                    f"line {line}, column {columns[0]}: it is empty.",
                    remedy=f"Give the {needed}.",
                    field=needed,
                )
            )
    return AnalysisDraft(**values) if len(faults) == before else None


def _figure(cell: Cell, heading: Heading, ground: Ground) -> tuple[str, int | None, str]:
    """A nutrient's figure; a bare number is in the column's unit."""
    typed = cell.text
    if heading.unit and re.fullmatch(r"[-+]?[0-9., ]+", typed):
        typed = f"{typed} {heading.unit}"
    ask = NutrientValue(label="figure", key=heading.nutrient)
    return heading.nutrient, ask.understand(typed, ground), typed[:60]


def _without_label(message: str) -> str:
    """A field's own message without the field and the value it names, which line and column say already."""
    _, mark, rest = message.partition(": ")
    return rest if mark else message


def _look_at(
    line: int, draft: AnalysisDraft, connection: Any, ground: Ground, seen: dict[tuple[Any, ...], int]
) -> SampleRow | int:
    """The row with what is odd in it; or the entry that holds the very sample already.

    Raises:
        Refused: it cannot be, or the sample stands in the book or the file with other figures.
    """
    kept = kept_values(draft)
    methods_of(draft)
    sampled = (draft.sampled or ground.clock.farm_day(ground.now_s)).isoformat()
    sample = (draft.feed, draft.number.lower(), sampled)
    name = ground.name_of("feed", draft.feed)
    if draft.number and sample in seen:
        raise Refused(
            f"sample {draft.number} of {name}, {sampled}, stands in line {seen[sample]} too.",
            remedy="Take one of them out.",
            field="number",
        )
    seen.setdefault(sample, line)
    for before in read_feeds.analyses(connection, draft.feed):
        if (before.number.lower(), before.sampled_on) != sample[1:]:
            continue
        differs = _differs(before, kept, dry_ppm_of(draft))
        if not differs:
            return before.entry
        if draft.number:
            raise Refused(
                f"sample {draft.number} of {name}, {sampled}, is in the book (entry {before.entry}) with other "
                f"figures: {differs}.",
                remedy=f"Correct or strike entry {before.entry} first, if the file is right.",
                field="number",
            )
    odd = odd_in(connection, ground, draft)
    see_odd(odd, sure=draft.sure)
    return SampleRow(line, draft, tuple(one.says for one in odd if one.grave == LOOK))


def _differs(before: AnalysisRow, kept: Mapping[str, int | None], dry_ppm: int) -> str:
    """What a row says otherwise than the sample in the book, in words; empty when it says nothing new."""
    now = {key: one / MILLION for key, one in kept.items() if one is not None}
    differing = [
        f"{nutrients()[key].label} {before.values.get(key, 'not determined')} there, {value} here"
        for key, value in now.items()
        if before.values.get(key) != value
    ]
    if before.dry_ppm != dry_ppm:
        differing.insert(0, f"dry matter {before.dry_ppm / 10_000:g} % there, {dry_ppm / 10_000:g} % here")
    return "; ".join(differing[:4])


def _each(error: Refused) -> list[Refused]:
    return error.faults if isinstance(error, SeveralRefused) else [error]


def _at_line(line: int, fault: Refused) -> Refused:
    return Refused(f"line {line}: {fault.message}", remedy=fault.remedy, field=fault.field)


def columns_words() -> str:
    """The headings and what they hold, for the manual."""
    fields = sorted({field: text for text, field in FIELDS.items()}.items())
    names = ", ".join(f"`{text}`" for _, text in fields)
    return f"{names}; methods are {', '.join(METHODS)}"

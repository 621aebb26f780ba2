"""A ration a head and day: feeds, dry matter, every nutrient against its target, cost, and what has no analysis."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from herdbook.book.reading import rations as read_rations
from herdbook.chores.cautions import cautions_of_version
from herdbook.chores.ground import Ground
from herdbook.errors import ChoreRefused
from herdbook.reports.figures import Column, EntriesUnder, Figure, Line, Report, Table, entries_of, in_kg
from herdbook.reports.parts_of import MILLION, FedPart, FeedFacts, doubts_of, leaf_parts
from herdbook.science.figures import RationFigure, amount_of, figure_value, ration_figures
from herdbook.science.nutrients import nutrients
from herdbook.science.ration import DCAD_TERMS, NFC_TERMS, Totals, Verdict, totals, verdict

TERMS = {
    "nfc": (*NFC_TERMS, "ndicp"),
    "dcad": DCAD_TERMS,
    "ca_to_p": ("ca", "p"),
    "forage_ndf": ("ndf",),
}
"""What each figure that is worked out rests on, of each feed."""

WEIGHTS = ("dm_intake", "as_fed", "dm_share", "forage_share")

FLAGS = {"low": "!", "high": "!", "no value": "?"}

FEED_COLUMNS = (
    Column("feed", "Feed"),
    Column("as_fed_kg", "As fed", "kg", 2),
    Column("dm_percent", "DM %", "%", 1),
    Column("dm_kg", "DM", "kg", 2),
    Column("cost_cents", "Cost", "cents", 2),
)
NUTRIENT_COLUMNS = (
    Column("figure", "Figure"),
    Column("value", "Value", "own", 2),
    Column("unit", "Unit"),
    Column("amount", "Amount", "own", 2),
    Column("amount_unit", "of"),
    Column("low", "Low", "own", 2),
    Column("aim", "Aim", "own", 2),
    Column("high", "High", "own", 2),
    Column("verdict", "Verdict"),
    Column("off_by", "Off by", "own", 2),
    Column("no_analysis_percent", "No analysis", "%", 1),
)


@dataclass(frozen=True, slots=True)
class RationSheet:
    """What the ration desk draws from: the version, its parts and their totals, and targets by figure.

    `target_entry` set the targets in force; `newest_targets` is the newest that set any, also from a later day.
    """

    version: read_rations.Version
    parts: tuple[FedPart, ...]
    totals: Totals
    targets: Mapping[str, tuple[float | None, float | None, float | None]]
    cautions: tuple[str, ...]
    target_entry: int | None = None
    newest_targets: int | None = None


def make(connection: Any, ground: Ground, *, name: int, on: date | None = None) -> Report:
    """The ration as it stands on a day, at the dry matter and analyses in force then.

    Args:
        connection: the book.
        ground: the farm's units, clock and names.
        name: the ration.
        on: the day; today if not given.

    Raises:
        ChoreRefused: the ration has no version in force on that day.
    """
    today = ground.clock.farm_day(ground.now_s)
    day = on or today
    version = read_rations.version_in_force(connection, name, day.isoformat())
    label = ground.name_of("ration", name)
    if version is None:
        raise ChoreRefused(
            f"Ration {label} has no version in force on {day.isoformat()}.", remedy="Choose a later day."
        )
    sheet = sheet_of(connection, ground, version, day)
    feeds = Table(
        "feeds", "Feeds a head a day", FEED_COLUMNS, tuple(_feed_line(part) for part in sheet.parts)
    )
    figures = Table("figures", "Against the targets", NUTRIENT_COLUMNS, tuple(_figure_lines(sheet)))
    off = [
        f"{line['figure'].value} {line['verdict'].says}"
        for line in figures.lines
        if line["verdict"].flag == "!"
    ]
    warnings: tuple[str, ...] = (f"Outside the targets: {', '.join(off)}.",) if off else ()
    at_s = end_of_day(ground, day)
    warnings += tuple(one.says for one in cautions_of_version(connection, ground, version, at_s=at_s))
    return Report(
        "ration",
        f"Ration {label}, version {version.version} from {version.from_day}, a head a day",
        facts=_facts(sheet),
        columns=FACT_COLUMNS,
        tables=(feeds, figures),
        warnings=(*warnings, *sheet.cautions),
        data=sheet,
    )


def sheet_of(connection: Any, ground: Ground, version: read_rations.Version, day: date) -> RationSheet:
    """A version's parts and totals on a day."""
    facts = FeedFacts(connection, ground, day.isoformat(), end_of_day(ground, day))
    parts = tuple(facts.parts_of_version(version))
    rows = read_rations.targets_on(connection, version.ration, day.isoformat())
    targets = {
        row["figure"]: tuple(
            None if row[bound] is None else row[bound] / MILLION for bound in ("low", "aim", "high")
        )
        for row in rows
    }
    target_entry = rows[0]["entry"] if rows else None
    cautions = tuple(
        f"{part.part.feed}: {facts.caution(part.feed)}" for part in parts if facts.caution(part.feed)
    )
    return RationSheet(
        version,
        parts,
        totals(leaf_parts(parts)),
        targets,  # type: ignore[arg-type]
        cautions,
        target_entry,
        max((one.entry for one in read_rations.target_sets(connection, version.ration)), default=None),
    )


def end_of_day(ground: Ground, day: date) -> int:
    """The last second of a day that is over; now in the day that runs and in days ahead."""
    if day >= ground.clock.farm_day(ground.now_s):
        return ground.now_s
    return ground.clock.day_starts(day + timedelta(days=1)) - 1


FACT_COLUMNS = {
    "version": Column("version", "Version"),
    "since": Column("since", "In use since", "day"),
    "as_fed_kg": Column("as_fed_kg", "As fed", "kg", 2),
    "dm_kg": Column("dm_kg", "Dry matter", "kg", 2),
    "dm_percent": Column("dm_percent", "Dry matter of the mix", "%", 1),
    "forage_percent": Column("forage_percent", "Forage of dry matter", "%", 1),
    "cost_cents": Column("cost_cents", "Feed cost", "cents", 2),
    "no_analysis_percent": Column("no_analysis_percent", "Dry matter without any analysis", "%", 1),
}


def _facts(sheet: RationSheet) -> Mapping[str, Figure]:
    sums = sheet.totals
    version = sheet.version
    everything = entries_of(*dict.fromkeys(n for part in sheet.parts for n in part.weight_entries))
    analysed = entries_of(*dict.fromkeys(n for part in sheet.parts for n in part.nutrient_entries))
    weights = {
        part.part.feed: in_kg(part.part.as_fed_kg, f"at {100 * part.part.dry_fraction:.1f} % dry matter")
        for part in sheet.parts
    }
    unknown = sum(
        part.part.as_fed_kg * part.part.dry_fraction for part in sheet.parts if part.analysis is None
    )
    share = None if sums.dry_share is None else 100 * sums.dry_share
    return {
        "version": Figure(version.version, entries=entries_of(version.entry)),
        "since": Figure(version.from_day, "day", entries=entries_of(version.entry)),
        "as_fed_kg": Figure(sums.as_fed_kg, "kg", "sum of the feeds as fed", weights, entries=everything),
        "dm_kg": Figure(
            sums.dry_kg, "kg", "sum of weight as fed times dry matter", weights, entries=everything
        ),
        "dm_percent": Figure(
            share,
            "%",
            "total dry matter over total as fed, never a mean of percentages",
            {"dry matter": in_kg(sums.dry_kg), "as fed": in_kg(sums.as_fed_kg)},
            entries=everything,
        ),
        "forage_percent": Figure(
            None if sums.forage_share is None else 100 * sums.forage_share,
            "%",
            "dry matter of the forages over all dry matter",
            {"forage": in_kg(sums.forage_dry_kg), "all": in_kg(sums.dry_kg)},
            entries=everything,
        ),
        "cost_cents": cost_of(sheet.parts),
        "no_analysis_percent": Figure(
            100 * unknown / sums.dry_kg if sums.dry_kg else None,
            "%",
            "dry matter of feeds without any analysis over all dry matter",
            {part.part.feed: "no analysis" for part in sheet.parts if part.analysis is None},
            entries=analysed,
            flag="?" if unknown else "",
        ),
    }


def cost_of(parts: Sequence[FedPart]) -> Figure:
    """What a mix costs; feeds without a price are named as missing, not taken as free."""
    priced = [part for part in parts if part.cost_cents is not None]
    unpriced = tuple(f"{part.part.feed} has no price" for part in parts if part.cost_cents is None)
    return Figure(
        sum(part.cost_cents or 0.0 for part in priced) if priced else None,
        "cents",
        "sum of weight as fed times price",
        {part.part.feed: f"{(part.cost_cents or 0) / 100:.4f}" for part in priced},
        unpriced,
        entries_of(*dict.fromkeys(number for part in parts for number in part.cost_entries)),
        flag="?" if unpriced else "",
    )


def _feed_line(fed: FedPart) -> Line:
    part = fed.part
    under = entries_of(*fed.weight_entries)
    since = fed.dry.since if fed.dry else "no dry matter"
    cost = Figure(
        fed.cost_cents,
        "cents",
        "weight as fed times price",
        missing=() if fed.cost_cents is not None else (f"{part.feed} has no price",),
        entries=entries_of(*fed.cost_entries),
    )
    return Line(
        part.feed,
        {
            "feed": Figure(part.feed),
            "as_fed_kg": Figure(
                part.as_fed_kg,
                "kg",
                "as set, at the dry matter in force",
                {"dry matter": since},
                entries=under,
            ),
            "dm_percent": Figure(
                100 * part.dry_fraction, "%", f"the newest dry matter, {since}", entries=under
            ),
            "dm_kg": Figure(
                part.as_fed_kg * part.dry_fraction, "kg", "weight as fed times dry matter", entries=under
            ),
            "cost_cents": cost,
        },
    )


def _figure_lines(sheet: RationSheet) -> Sequence[Line]:
    """Every figure that has a target or a value: those with targets first, in the order of the list."""
    known = ration_figures()
    wanted = [key for key in known if key in sheet.targets]
    wanted += [key for key in sheet.targets if amount_of(key)]
    wanted += [
        key for key in known if key not in sheet.targets and figure_value(key, sheet.totals).value is not None
    ]
    return [_figure_line(known[key], sheet) for key in wanted]


def _figure_line(of: RationFigure, sheet: RationSheet) -> Line:
    found = figure_value(of.key, sheet.totals)
    low, aim, high = sheet.targets.get(of.key, (None, None, None))
    judged = judged_against(of, found.value, (low, aim, high))
    value = ration_value(of, sheet)
    target = entries_of(sheet.target_entry)
    both = _both(value, sheet)
    total = sheet.totals.nutrients.get(of.key)
    amount_unit = nutrients()[of.key].amount_unit if of.key in nutrients() else ""
    word = "" if judged.word == "no target" else judged.word
    return Line(
        of.key,
        {
            "figure": Figure(of.label),
            "value": value,
            "unit": Figure(of.unit),
            "amount": Figure(
                total.amount if total and amount_unit else None,
                amount_unit,
                "share times dry matter",
                entries=value.entries,
            ),
            "amount_unit": Figure(amount_unit),
            "low": Figure(low, of.unit, entries=target),
            "aim": Figure(aim, of.unit, entries=target),
            "high": Figure(high, of.unit, entries=target),
            "verdict": Figure(
                word,
                rule="the value against the nutritionist's low and high; right at a limit is ok",
                inputs={"value": value},
                missing=value.missing,
                entries=both,
                flag=FLAGS.get(word, ""),
                says=word,
            ),
            "off_by": Figure(
                judged.distance if judged.word in ("low", "high") else None,
                of.unit,
                "value less the limit it passed",
                {"value": value},
                entries=both,
            ),
            "no_analysis_percent": Figure(
                100 * found.unknown_share,
                "%",
                "dry matter without this analysis over all dry matter",
                entries=value.entries,
            ),
        },
    )


def judged_against(
    of: RationFigure, value: float | None, bounds: tuple[float | None, float | None, float | None]
) -> Verdict:
    """The verdict on a figure, to a hundredth of its last shown digit.

    A limit typed in pounds and a ration typed in pounds are stored in whole milligrams a feed; what was typed at
    exactly the limit must pass it.
    """
    places = of.decimals + 2

    def rounded(number: float | None) -> float | None:
        return None if number is None else round(number, places)

    low, aim, high = bounds
    return verdict(rounded(value), rounded(low), rounded(aim), rounded(high))


def _both(value: Figure, sheet: RationSheet) -> EntriesUnder:
    """The entries under a value, and the one that set its target."""

    def under() -> Sequence[int]:
        return list(dict.fromkeys([*value.entries(), *entries_of(sheet.target_entry)()]))

    return under


def ration_value(of: RationFigure, sheet: RationSheet) -> Figure:
    """A figure of a ration with everything it rests on."""
    found = figure_value(of.key, sheet.totals)
    inputs = {}
    nutrient = amount_of(of.key) or of.key
    terms = (nutrient,) if nutrient in nutrients() else TERMS.get(of.key, ())
    for fed in sheet.parts:
        dry_kg = fed.part.as_fed_kg * fed.part.dry_fraction
        inputs[fed.part.feed] = in_kg(
            dry_kg, ", ".join(["dry matter", *(_determined(fed, key) for key in terms)])
        )
    gap = 100 * found.unknown_share
    missing: tuple[str, ...] = (
        (f"{gap:.1f} % of the dry matter has no analysis for it",) if found.unknown_share > 1e-9 else ()
    )
    missing += doubts_of(of.key, sheet.parts)
    return Figure(
        found.value,
        of.unit,
        found.rule or of.rule,
        inputs,
        missing,
        entries_of(*(n for part in sheet.parts for n in _under_figure(part, of.key))),
        flag="?" if missing else "",
    )


def _determined(fed: FedPart, key: str) -> str:
    one, figure = nutrients()[key], fed.part.nutrients.get(key)
    return f"{one.label} {'not determined' if figure is None else f'{figure:g} {one.unit}'}"


def _under_figure(fed: FedPart, key: str) -> tuple[int, ...]:
    """Weights alone need no analysis."""
    return fed.weight_entries if key in WEIGHTS else fed.nutrient_entries

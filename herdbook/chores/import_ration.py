"""From a sheet of a ration, one row an item, to a draft; parts of 100 become amounts of a whole that is given."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from herdbook.chores.drafting import raise_all
from herdbook.chores.ground import Ground
from herdbook.chores.measures import ask_per_head, is_dm, without_dm
from herdbook.chores.rations import RationDraft
from herdbook.chores.sheets import Cell, Sheet
from herdbook.errors import Refused
from herdbook.units import parse_number, show_number

FIELDS = ("feed", "amount", "unit", "basis")
AS_FED, ON_DRY = "as fed", "dry matter"
BASES = {
    "as fed": AS_FED,
    "as is": AS_FED,
    "fed": AS_FED,
    "dry matter": ON_DRY,
    "dry": ON_DRY,
    "dm": ON_DRY,
}
PERCENT = ("%", "percent", "per cent")
OFF_BY = Fraction(1)
"""Points that parts of 100 may miss the whole by: published diets print 99.2 to 100.1."""
_AMOUNT = re.compile(r"(?P<number>[-+0-9., /]*[0-9])\s*(?P<unit>[^0-9]*)")


@dataclass(frozen=True, slots=True)
class Item:
    """One row, understood: milligrams a head and day, its basis, and the part of 100 it was printed as, if it was."""

    line: int
    feed: int
    mg: int
    basis: str
    percent: Fraction | None = None

    def typed(self) -> str:
        """The amount as it would be typed."""
        return f"{self.mg / 1_000_000:.6g} kg{' dm' if self.basis == ON_DRY else ''}"


@dataclass(frozen=True, slots=True)
class RationRead:
    """A sheet of a ration: its items in loading order, and the sum of its parts of 100, if it has such."""

    items: tuple[Item, ...]
    percent_sum: Fraction | None = None

    def draft(self, **fields: Any) -> RationDraft:
        """The draft that writes it; `fields` are the draft's others."""
        return RationDraft(item=[(one.feed, one.mg, one.typed()) for one in self.items], **fields)


def is_known_heading(text: str) -> bool:
    """Whether a heading means something in a sheet of a ration."""
    return text.strip().lower() in FIELDS


def read_ration(
    sheet: Sheet, ground: Ground, *, basis: str = "", whole: tuple[int, str] | None = None
) -> RationRead:
    """Understand a sheet of a ration.

    Args:
        sheet: the file.
        ground: the farm's units, clock and names; the sheet's own decimal mark goes before the farm's.
        basis: of rows that do not say; as fed if empty.
        whole: what parts of 100 are parts of: milligrams a head and day, and the basis.

    Raises:
        Refused: everything that is wrong, each with line, column and value.
    """
    if sheet.decimal:
        ground = replace(ground, units=replace(ground.units, decimal=sheet.decimal))
    by_field = _by_field(sheet)
    faults: list[Refused] = []
    items: list[Item] = []
    seen: dict[int, int] = {}
    for row in sheet.rows:
        cells = {field: row[text] for field, text in by_field.items() if text in row}
        line = next(iter(row.values())).line
        before = len(faults)
        item = _item(line, cells, ground, basis, whole, faults)
        if item is None or len(faults) > before:
            continue
        if item.feed in seen:
            faults.append(
                cells["feed"].fault(f"the feed stands in line {seen[item.feed]} too.", "Give each feed once.")
            )
        seen.setdefault(item.feed, line)
        items.append(item)
    if not faults:
        faults += _sum_faults(items)
    raise_all(faults)
    parts = [one.percent for one in items if one.percent is not None]
    return RationRead(tuple(items), sum(parts, Fraction(0)) if parts else None)


def _by_field(sheet: Sheet) -> dict[str, str]:
    """Field -> the heading over it.

    Raises:
        Refused: a heading that means nothing, or one that must be there and is not.
    """
    faults = [
        Refused(
            f"{sheet.column(text)}: a ration has {', '.join(FIELDS)}.",
            remedy="Put - before the heading to leave the column out.",
            field=text,
        )
        for text in sheet.headings
        if not is_known_heading(text)
    ]
    made = {text.strip().lower(): text for text in sheet.headings if is_known_heading(text)}
    faults += [
        Refused(f"{sheet.column(field)}: it is missing.", remedy="Name it in the first line.", field=field)
        for field in ("feed", "amount")
        if field not in made
    ]
    raise_all(faults)
    return made


def _item(
    line: int,
    cells: Mapping[str, Cell],
    ground: Ground,
    basis: str,
    whole: tuple[int, str] | None,
    faults: list[Refused],
) -> Item | None:
    for needed in ("feed", "amount"):
        if needed not in cells:
            faults.append(
                Refused(
                    f"line {line}, column {needed}: it is empty.", remedy=f"Give the {needed}.", field=needed
                )
            )
    if "feed" not in cells or "amount" not in cells:
        return None
    feed = 0
    try:
        feed = ground.find("feed", cells["feed"].text)
    except Refused as error:
        faults.append(cells["feed"].fault(error.message.partition(": ")[2], error.remedy))
    own = _basis(cells, basis, faults)
    try:
        return _measured(line, feed, cells, own, ground, whole)
    except Refused as error:
        faults.append(error)
        return None


def _basis(cells: Mapping[str, Cell], otherwise: str, faults: list[Refused]) -> str:
    cell = cells.get("basis")
    if cell is None:
        return otherwise
    found = BASES.get(cell.text.lower(), "")
    if not found:
        faults.append(cell.fault("that is no basis.", "Use as fed or dry matter."))
    return found or otherwise


def _measured(
    line: int,
    feed: int,
    cells: Mapping[str, Cell],
    basis: str,
    ground: Ground,
    whole: tuple[int, str] | None,
) -> Item:
    """The row's amount in milligrams.

    Raises:
        Refused: with the cell it stands in.
    """
    cell = cells["amount"]
    said_dry = is_dm(cell.text) or ("unit" in cells and is_dm(cells["unit"].text))
    found = _AMOUNT.fullmatch(without_dm(cell.text))
    if found is None:
        raise cell.fault("that is no amount.", "Type a number, and its unit here or in the column unit.")
    unit = found["unit"].strip() or (without_dm(cells["unit"].text) if "unit" in cells else "")
    if said_dry and basis == AS_FED and "basis" in cells:
        raise cells["basis"].fault("the amount says dry matter.", "Say one of the two.")
    if unit.lower() in PERCENT:
        return _part_of_100(line, feed, cell, found["number"], ON_DRY if said_dry else basis, ground, whole)
    try:
        mg = ask_per_head("amount").understand(f"{found['number']} {unit}".strip(), ground)
    except Refused as error:
        raise cell.fault(error.message.partition(": ")[2], error.remedy) from None
    return Item(line, feed, mg, ON_DRY if said_dry else basis or AS_FED)


def _part_of_100(
    line: int,
    feed: int,
    cell: Cell,
    number: str,
    basis: str,
    ground: Ground,
    whole: tuple[int, str] | None,
) -> Item:
    if whole is None:
        raise cell.fault(
            "a part of 100 needs the whole it is a part of.", 'Give `--whole "24 kg dm"`, a head and day.'
        )
    mg_of_whole, basis_of_whole = whole
    if basis and basis != basis_of_whole:
        raise cell.fault(
            f"it is a part of {basis}, and the whole is {basis_of_whole}.", "Say the same basis for both."
        )
    try:
        percent = parse_number(number, decimal=ground.units.decimal)
    except ValueError:
        raise cell.fault("that is no number.", "Type a number such as 24.3.") from None
    mg = round(percent / 100 * mg_of_whole)
    if mg < 1 or percent > 100:
        raise cell.fault("that is no part of 100.", "It lies above 0 and goes up to 100.")
    return Item(line, feed, mg, basis_of_whole, percent)


def _sum_faults(items: list[Item]) -> list[Refused]:
    """Parts of 100 that are not the whole, or stand beside weights."""
    parts = [one.percent for one in items if one.percent is not None]
    if not parts:
        return []
    if len(parts) < len(items):
        other = next(one for one in items if one.percent is None)
        return [
            Refused(
                f"line {other.line}, column amount: a weight stands among parts of 100.",
                remedy="Give all as parts of 100, or all as weights.",
                field="amount",
            )
        ]
    total = sum(parts, Fraction(0))
    if abs(total - 100) > OFF_BY:
        return [
            Refused(
                f"column amount: the parts make {show_number(total, 2)}, not 100.",
                remedy="They may miss it by 1; look for a row that is missing or stands there twice.",
                field="amount",
            )
        ]
    return []

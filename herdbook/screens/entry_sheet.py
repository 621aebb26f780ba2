"""One entry of the book, whole, as a place shows it over its body."""

from __future__ import annotations

from typing import Any

from rich.text import Text

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.screens.parts.lines import pieces


def entry_lines(row: Any, ground: Ground) -> list[Text | str]:
    """An entry in full."""
    at = ground.clock.iso(row["written_ms"] // 1000)
    lines: list[Text | str] = [
        pieces("   ", (plain(row["said"]), "bold")),
        "",
        f"   Written {at} by {plain(row['who'] or 'nobody known')}, {row['chore']}, farm day {row['farm_day']}.",
    ]
    if row["note"]:
        lines.append(f"   Note: {plain(row['note'])}")
    if row["strikes"] is not None:
        lines.append(f"   It corrects entry {row['strikes']}, which stays readable.")
    if row["struck_by"] is not None:
        lines.append(f"   Struck by entry {row['struck_by']}: it counts no more.")
    return lines

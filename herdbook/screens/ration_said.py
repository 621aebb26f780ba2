"""What stands under the tables of the ration desk: what to look at, what was changed, what holds a suggestion."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.text import Text

from herdbook.plain import plain
from herdbook.screens.parts.lines import heading, pieces
from herdbook.screens.parts.signs import SignSet
from herdbook.screens.ration_drawing import RationDrawing

if TYPE_CHECKING:
    from herdbook.reports.figures import Report
    from herdbook.reports.what_if import WhatIf
    from herdbook.screens.ration_offer import Offer


def said_of_version(report: Report, drawing: RationDrawing, width: int, without: Sequence[str]) -> list[Text]:
    """What to look at in the version in use, and the rations of which no version counts."""
    found = [warning(words, drawing.signs) for words in report.warnings]
    if not found:
        calm = (
            "Every figure with a target is inside it."
            if report.data.targets
            else "No targets yet. G sets them."
        )
        found = [Text(f"   {calm}", "dust")]
    if without:
        found.append(Text(f"   No version counts of: {', '.join(map(plain, without))}.", "dust"))
    return [heading("TO LOOK AT", "", width, drawing.signs), *found]


def said_of_draft(tried: WhatIf, number: int, drawing: RationDrawing, width: int) -> list[Text]:
    """What was changed since the version in use, which figures that puts outside their targets, and cautions."""
    lines = [heading(f"SINCE VERSION {number}", "", width, drawing.signs)]
    lines += drawing.change_lines(tried, width)
    lines += [warning(f"{words}.", drawing.signs) for words in drawing.off_words(tried)]
    return lines + [warning(words, drawing.signs) for words in tried.cautions()]


def said_of_offer(offer: Offer, drawing: RationDrawing, width: int) -> list[Text]:
    """What holds a suggestion where it is, and what must be read before it is taken."""
    from herdbook.reports.suggestion import warnings_of
    from herdbook.screens.ration_offer import held_by

    word, aside = (
        ("SUGGESTION", "") if offer.suggested.is_answer else ("THESE CANNOT ALL HOLD", "G eases one")
    )
    lines = [heading(word, aside, width, drawing.signs)]
    lines += [Text(f"   {words}") for words in held_by(offer, drawing.ground)]
    found = warnings_of(offer.suggested, drawing.ground)
    return lines + [warning(words, drawing.signs) for words in found]


def warning(words: str, signs: SignSet) -> Text:
    """A sentence with the sign for looking before it."""
    return pieces("   ", (signs.look, "warn"), f"  {plain(words)}")

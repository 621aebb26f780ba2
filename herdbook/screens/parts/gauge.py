"""How much of a whole is there, as a line that is never full too early."""

from __future__ import annotations

from rich.text import Text

from herdbook.screens.parts.lines import pieces
from herdbook.screens.parts.signs import UNICODE, SignSet


def gauge(
    part: float | None, whole: float, cells: int, *, signs: SignSet = UNICODE, role: str = "ice"
) -> Text:
    """Draw how much of `whole` is there, in the same unit.

    Something there always shows, the line is full only when all is there, and more than all ends in an
    arrow. None, "not written", is an empty line.

    Args:
        part: what is there.
        whole: what the full line stands for; not more than zero gives an empty line.
        cells: length of the line.
        signs: signs to draw with.
        role: role of the filled stretch.
    """
    cells = max(cells, 1)
    filled = 0
    if part is not None and whole > 0 and part > 0:
        filled = cells if part >= whole else min(max(int(part / whole * cells), 1), cells - 1)
    over = signs.off_right if part is not None and 0 < whole < part else ""
    line = signs.heavy * (filled - len(over))
    return pieces((line, role), (over, "hay"), (signs.rule * (cells - filled), "rule"))

"""One feed at the mixer, large enough to be read from the tractor: its name, what to add, what the scale shows."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from herdbook.plain import plain
from herdbook.screens.feeding_scale import AtScale
from herdbook.screens.parts.digits import HEIGHT, big
from herdbook.screens.parts.lines import padded, pieces, two_ends
from herdbook.screens.parts.text import Painted
from herdbook.screens.sheet import wrapped

WORDS = 2
"""Lines kept for what must be read: cautions first, then what an error does."""
ROOMY = 66
"""From this width on the words stand beside the figures instead of below them."""
FIGURES = 40
"""Cells that name, figures and their words take."""


class MixerFace(Painted):
    """The feed that goes in next, in large figures, with its cautions beside it."""

    DEFAULT_CSS = "MixerFace { height: auto; }"

    def __init__(self) -> None:
        super().__init__(id="face")
        self._at: AtScale | None = None
        self._words: list[tuple[str, str]] = []

    def show(self, at: AtScale | None, words: Sequence[tuple[str, str]]) -> None:
        """Show another feed.

        Args:
            at: the feed at the scale; None shows nothing.
            words: sentences to be read, each with its role.
        """
        self._at, self._words = at, [(plain(said), role) for said, role in words]
        self.freshen()

    def lines_wanted(self, width: int) -> int:
        return 1 + HEIGHT if width >= ROOMY else 1 + HEIGHT + WORDS

    def paint(self, width: int, height: int) -> Sequence[Text]:
        if self._at is None:
            return []
        at, units = self._at, self._at.ground.units
        done = len({row["feed"] for row in at.load.weighed})
        count = f"{min(done + 1, len(at.load.planned))} of {len(at.load.planned)}"
        name = two_ends(
            pieces("   ", (plain(at.name), "bold ice")), Text(f"{count} ", "dust"), width, self.signs
        )
        if at.mine:
            add, to = units.mass(at.in_g, with_unit=False), ""
        else:
            add = units.mass(at.planned_g, 1 if at.by_hand else 0, with_unit=False)
            to = "" if at.by_hand else units.mass(at.target_g, with_unit=False)
        said = self._wrapped(width - FIGURES - 1 if width >= ROOMY else width - 1)
        lines = [name]
        adds, tos = big(add, self.signs, role="chalk"), big(to, self.signs) if to else [Text()] * HEIGHT
        for row in range(HEIGHT):
            words = ("in" if at.mine else "add", "to" if to else "") if row == 1 else ("", "")
            line = pieces(
                "   ",
                padded(Text(words[0], "dust"), 4),
                padded(adds[row], 14),
                padded(Text(words[1], "dust"), 3),
                padded(tos[row], 16),
            )
            if width >= ROOMY:
                line.append_text(said[row] if row < len(said) else Text())
            lines.append(line)
        return lines if width >= ROOMY else [*lines, *said[:WORDS]]

    def _wrapped(self, width: int) -> list[Text]:
        rows = HEIGHT if self.size.width >= ROOMY else WORDS
        lines = [
            part for said, role in self._words for part in wrapped(Text(f" {said}", role), max(width, 10))
        ]
        if len(lines) > rows:
            lines[rows - 1] = pieces(
                padded(lines[rows - 1], max(width - 10, 1), signs=self.signs), (" = all", "dust")
            )
        return lines[:rows]

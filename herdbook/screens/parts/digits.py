"""One figure in large signs three rows high, to be read from across the milk house."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from herdbook.screens.parts.lines import harmless
from herdbook.screens.parts.signs import UNICODE, SignSet
from herdbook.screens.parts.text import Painted

HEIGHT = 3
# Heavy box signs, as nearly every terminal draws itself; the shapes of a seven-part display.
_SHAPES = {
    "0": ("┏━┓", "┃ ┃", "┗━┛"),
    "1": ("  ╻", "  ┃", "  ╹"),
    "2": ("╺━┓", "┏━┛", "┗━╸"),
    "3": ("╺━┓", "╺━┫", "╺━┛"),
    "4": ("╻ ╻", "┗━┫", "  ╹"),
    "5": ("┏━╸", "┗━┓", "╺━┛"),
    "6": ("┏━╸", "┣━┓", "┗━┛"),
    "7": ("╺━┓", "  ┃", "  ╹"),
    "8": ("┏━┓", "┣━┫", "┗━┛"),
    "9": ("┏━┓", "┗━┫", "╺━┛"),
    "-": ("   ", "╺━╸", "   "),
    ".": (" ", " ", "•"),
    ",": (" ", " ", "•"),
    ":": (" ", "•", "•"),
    " ": ("  ", "  ", "  "),
}


def big(text: str, signs: SignSet = UNICODE, *, role: str = "ice") -> list[Text]:
    """Draw a figure in three lines; in plain signs it stands bold in the middle one.

    Other signs than figures, minus, point, comma and colon stand small on the middle line. `–` and `−`
    are drawn as a minus.
    """
    shown = harmless(text).replace("–", "-").replace("−", "-")
    if signs.plain:
        return [Text(), Text(shown, f"bold {role}"), Text()]
    shapes = [_SHAPES.get(character, (" ", character, " ")) for character in shown]
    return [Text("".join(shape[row] for shape in shapes).rstrip(), role) for row in range(HEIGHT)]


class BigFigure(Painted):
    """A figure in large signs with a word below it.

    Args:
        figure: such as `47.7`, or `--` when there is none.
        word: said below, such as `°F, falling`.
        role: role of the figure.
    """

    DEFAULT_CSS = "BigFigure { height: 4; }"

    def __init__(
        self,
        figure: str = "--",
        word: str = "",
        *,
        role: str = "ice",
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._figure, self._word, self._role = figure, word, role

    def show(self, figure: str, word: str = "", *, role: str = "") -> None:
        """Show another figure; the role stays when none is given."""
        self._figure, self._word, self._role = figure, word, role or self._role
        self.freshen()

    def lines_wanted(self, width: int) -> int:
        return HEIGHT + 1

    def paint(self, width: int, height: int) -> Sequence[Text]:
        return [*big(self._figure, self.signs, role=self._role), Text(self._word, "dust")]

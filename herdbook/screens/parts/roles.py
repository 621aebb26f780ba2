"""What a drawing means ("late", "typed", "chosen row") turned into the colours of the theme in use.

Drawings name roles as styles of a `rich.text.Text`, one or more words: `"bold ice"`, `"warn"`. Only here
do they become colours, taken from the theme's variables, so no part knows a colour and none can differ.
"""

from __future__ import annotations

from collections.abc import Mapping

from rich.style import Style
from textual.color import Color, ColorParseError

# Role: variables tried for the ink, then for the ground. A missing variable leaves that part as it is.
_ROLES: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "chalk": (("chalk",), ()),
    "dust": (("dust",), ()),
    "ice": (("ice",), ()),
    "clover": (("clover",), ()),
    "hay": (("hay",), ()),
    "rust": (("rust",), ()),
    "rule": (("rule",), ()),
    "on-bed": ((), ("bed",)),
    "on-board": ((), ("board",)),
    "typed": (("well-ink", "chalk"), ("well",)),
    "warn": (("warn-ink", "ground"), ("warn-ground", "hay")),
    "alert": (("alert-ink", "ground"), ("alert-ground", "rust")),
}
_ATTRIBUTES = {
    "bold": Style(bold=True),
    "strike": Style(strike=True),
    "underline": Style(underline=True),
    "reverse": Style(reverse=True),
}
# The cell of the cursor is the place typed in turned over, so that it shows without colours too.
_MADE_OF = {"cursor": "typed reverse"}
# Where the theme gives a badge no colours of its own it is still told apart from the text around it.
_WITHOUT_COLOURS = {"warn": Style(reverse=True), "alert": Style(reverse=True, bold=True)}


class Roles:
    """The roles of one theme.

    Args:
        variables: the theme's variables, such as `app.theme_variables`.
    """

    def __init__(self, variables: Mapping[str, str]) -> None:
        self._variables = variables
        self._known: dict[str, Style] = {}

    def style(self, words: str) -> Style:
        """Give the style of one or more role words, later ones on top; unknown words change nothing."""
        if (known := self._known.get(words)) is None:
            known = Style.combine([self._word(word) for word in words.split()])
            self._known[words] = known
        return known

    def _word(self, word: str) -> Style:
        if word in _MADE_OF:
            return self.style(_MADE_OF[word])
        if word in _ATTRIBUTES:
            return _ATTRIBUTES[word]
        inks, grounds = _ROLES.get(word, ((), ()))
        ink, ground = self._colour(inks), self._colour(grounds)
        if ground is None and word in _WITHOUT_COLOURS:
            return _WITHOUT_COLOURS[word]
        return Style(color=ink.rich_color if ink else None, bgcolor=ground.rich_color if ground else None)

    def _colour(self, names: tuple[str, ...]) -> Color | None:
        for name in names:
            try:
                return Color.parse(self._variables[name])
            except (KeyError, ColorParseError):
                continue
        return None

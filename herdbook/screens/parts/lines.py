"""Building and fitting single lines of text: pieces with roles, columns, headings, cutting with a sign."""

from __future__ import annotations

from rich.cells import cell_len
from rich.text import Text

from herdbook.screens.parts.signs import UNICODE, SignSet

Piece = str | Text | tuple[str, str]


def harmless(text: str) -> str:
    """Put one harmless sign in the place of each control, direction or other unprintable character.

    The length stays, so styles stay where they were. People's text has been through `plain()` before;
    this is the last door before the terminal.
    """
    if text.isprintable():
        return text
    return "".join(
        character if character.isprintable() else "\N{REPLACEMENT CHARACTER}" for character in text
    )


def pieces(*parts: Piece) -> Text:
    """Join pieces to one line: plain strings, `(string, role words)`, or ready `Text`."""
    line = Text()
    for part in parts:
        if isinstance(part, tuple):
            line.append(part[0], part[1])
        elif isinstance(part, Text):
            line.append_text(part)
        else:
            line.append(part)
    return line


def fit(line: Text, width: int, signs: SignSet = UNICODE) -> Text:
    """Cut a line to `width` cells, ending in the sign for more when something was cut."""
    if cell_len(line.plain) <= width:
        return line
    mark = signs.more if cell_len(signs.more) < width else ""
    cut = line.copy()
    cut.truncate(max(0, width - cell_len(mark)))
    role = next((span.style for span in reversed(cut.spans) if span.end >= len(cut)), "")
    cut.append(mark, role)
    return cut


def padded(line: Text | str, width: int, align: str = "left", signs: SignSet = UNICODE) -> Text:
    """Give a line of exactly `width` cells: cut, or filled with blanks on the side away from `align`."""
    text = fit(line if isinstance(line, Text) else Text(line), width, signs)
    blanks = " " * (width - cell_len(text.plain))
    return pieces(blanks, text) if align == "right" else pieces(text, blanks)


def two_ends(left: Text | str, right: Text | str, width: int, signs: SignSet = UNICODE) -> Text:
    """Give a line with one text at each end; where both do not fit the left one is cut, then the right."""
    right_text = fit(right if isinstance(right, Text) else Text(right), width, signs)
    room = width - cell_len(right_text.plain)
    if not right_text.plain:
        return padded(left, width, signs=signs)
    return pieces(padded(left, max(0, room - 1), signs=signs), " " if room else "", right_text)


def heading(word: str, aside: str, width: int, signs: SignSet = UNICODE, *, at_end: str = "") -> Text:
    """Give a heading over a list: capital word, aside, a rule to the edge, perhaps a word at the end."""
    start = pieces(" ", (word, "dust"), (f" {aside}" if aside else "", "dust"), " ")
    end = pieces(" ", (at_end, "dust"), " ") if at_end else Text(" ")
    room = width - cell_len(start.plain) - cell_len(end.plain)
    return fit(pieces(start, (signs.rule * max(0, room), "rule"), end), width, signs)

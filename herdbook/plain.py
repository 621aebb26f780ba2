"""Text from people and files made harmless: no control characters, terminal codes or direction tricks."""

from __future__ import annotations

import re
import unicodedata
from functools import cache

LONGEST = 2_000
MOST_READ = 100_000
"""Characters of a text that are looked at; a longer one is nobody's name, note or number."""

_HARMFUL_CATEGORIES = {"Cc", "Cf", "Cs", "Zl", "Zp"}
"""Controls; format characters (bidirectional, zero width, tags); surrogates; line and paragraph separators."""

_BLANKS = re.compile(r"[ \t\n\u00a0\u1680\u2000-\u200a\u202f\u205f\u3000]+")

# Whole sequences first, so that "\x1b[31mred" becomes "red" and not "[31mred" (ECMA-48 sections 5 and 8).
_SEQUENCES = re.compile(
    "(?:\x1b\\[|\x9b)[0-?]*[ -/]*[@-~]"  # control sequences
    "|(?:\x1b[\\]PX^_]|[\x90\x98\x9d-\x9f])[^\x07\x1b\x9c]*(?:\x07|\x1b\\\\|\x9c|$)"  # strings
    "|\x1b[ -/]*[0-~]"  # other escapes
)


def plain(text: str, *, longest: int = LONGEST) -> str:
    """Give back `text` as one line of harmless characters, blanks folded, at most `longest` characters.

    Removes terminal control sequences (ECMA-48), control characters, bidirectional marks and zero-width
    characters, and composes accents (Unicode's form C), so that one name is one name on every keyboard.
    What stands behind the first `MOST_READ` characters is left off unseen: no text takes long, nor much memory.
    Applied when people's text comes in and again where text reaches a terminal or a file.
    """
    text = text[:MOST_READ]
    if text.isascii() and text.isprintable() and "  " not in text:
        return text.strip()[:longest].strip()
    text = _SEQUENCES.sub("", text)
    text = "".join(char for char in text if char in "\t\n" or not _harmful(char))
    return unicodedata.normalize("NFC", _BLANKS.sub(" ", text)).strip()[:longest].strip()


@cache
def _harmful(char: str) -> bool:
    return unicodedata.category(char) in _HARMFUL_CATEGORIES

"""Text from people and files made harmless: no control characters, terminal codes or direction tricks."""

from __future__ import annotations

import re

LONGEST = 2_000

# Cc controls (C0, DEL, C1), bidirectional marks, embeddings, overrides and isolates, zero-width
# characters, line and paragraph separators, byte order mark, interlinear marks, tags, surrogates.
_HARMFUL = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u00ad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f"
    "\ufeff\ufff9-\ufffb\ud800-\udfff\U000e0000-\U000e007f]"
)
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
    characters. Applied when people's text comes in and again where text reaches a terminal or a file.
    """
    if text.isascii() and text.isprintable() and "  " not in text:
        return text[:longest].strip()
    text = _SEQUENCES.sub("", text)
    text = _HARMFUL.sub("", _BLANKS.sub(" ", text))
    return text[:longest].strip()

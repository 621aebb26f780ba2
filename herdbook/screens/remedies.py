"""What to do about a refusal, in keys where a command is named: who sits at a screen types no commands."""

from __future__ import annotations

import re

KEYS_OF = {
    "feed": "F5, then F",
    "analysis": "F5, then A",
    "ration": "F5, then E",
    "targets": "F5, then G",
    "pen-ration": "F5, then P",
    "dry-matter": "F5, then D",
}
"""Chores with a key of their own at the ration desk; every other is in the list of W."""
SHOWN_BY = {"plan": "F3", "loads": "F3", "ration": "F5"}
"""Reports that a place shows."""

_WRITE = re.compile(r"`herdbook write ([a-z-]+)(?: --corrects (\d+))?`")
_SHOW = re.compile(r"`herdbook show ([a-z-]+)[^`]*`")
_SURE = re.compile(r"`sure yes`")
_FIELD = re.compile(r"`([a-z][a-z ]{2,30})`")


def on_screen(words: str) -> str:
    """A sentence of a refusal as it is said on a screen; what names no command stays as it is."""

    def written(found: re.Match[str]) -> str:
        if found[2]:
            return f"C on entry {found[2]}"
        return KEYS_OF.get(found[1], f"W, then {found[1].replace('-', ' ')}")

    def shown(found: re.Match[str]) -> str:
        return SHOWN_BY.get(found[1], found[0])

    words = _SHOW.sub(shown, _WRITE.sub(written, words))
    words = _SURE.sub("yes in Sure", words)
    return _FIELD.sub(
        lambda found: found[0] if found[1].startswith("herdbook") else found[1].capitalize(), words
    )

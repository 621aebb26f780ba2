"""The signs drawings are made of: one set for most terminals, one in plain letters, and which to use."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

# Terminals whose font lacks most of the signs: the Linux console, real serial terminals, and no terminal.
_PLAIN_TERMINALS = ("linux", "dumb", "vt100", "vt102", "vt220", "ansi")


@dataclass(frozen=True)
class SignSet:
    """One sign for each meaning; every sign is one cell wide, except `more`.

    Attributes are named for what they say, so that a drawing reads the same in both sets.
    """

    plain: bool
    # In lists and words.
    chosen: str
    done: str
    struck: str
    unwritten: str
    falling: str
    steady: str
    rising: str
    reads: str
    updown: str
    more: str
    corrects: str = "c"
    look: str = "!"
    late: str = "!!"
    unknown: str = "?"
    under: str = "<"
    over: str = ">"
    # In lines and bars.
    rule: str = "-"
    heavy: str = "="
    upright: str = "|"
    limit: str = "|"
    now: str = "o"
    ring: str = "."
    expected: str = "x"
    low: str = "["
    aim: str = "+"
    high: str = "]"
    off_left: str = "<"
    off_right: str = ">"
    # From low to high: three heights within one row, and steps of a small trend.
    heights: str = "_-'"
    steps: str = "_.-=+#"


UNICODE = SignSet(
    plain=False,
    chosen="▸",
    done="✓",
    struck="×",
    unwritten="–",
    falling="↓",
    steady="→",
    rising="↑",
    reads="→",
    updown="↑↓",
    more="…",
    rule="─",
    heavy="━",
    upright="│",
    limit="┃",
    now="●",
    ring="○",
    expected="◆",
    low="┝",
    aim="┿",
    high="┥",
    off_left="◂",
    off_right="▸",
    heights="▁─▔",
    steps="▁▂▃▄▅▆",
)
PLAIN = SignSet(
    plain=True,
    chosen=">",
    done="v",
    struck="x",
    unwritten="-",
    falling="v",
    steady=">",
    rising="^",
    reads=">",
    updown="up/down",
    more="...",
)


def choose_signs(setting: str, environ: Mapping[str, str]) -> SignSet:
    """Give the sign set to draw with.

    Args:
        setting: `"plain"` or `"unicode"` decide; anything else leaves it to the terminal.
        environ: the process environment: `TERM` and the locale variables are looked at.

    Returns:
        `PLAIN` on terminals that lack the signs or where the locale is not UTF-8, else `UNICODE`.
    """
    if setting in ("plain", "unicode"):
        return PLAIN if setting == "plain" else UNICODE
    term = environ.get("TERM", "")
    if not term or term.split("-")[0] in _PLAIN_TERMINALS:
        return PLAIN
    locale = next((environ[name] for name in ("LC_ALL", "LC_CTYPE", "LANG") if environ.get(name)), "")
    speaks_utf8 = not locale or "utf-8" in locale.lower() or "utf8" in locale.lower()
    return UNICODE if speaks_utf8 else PLAIN

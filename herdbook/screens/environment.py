"""Which words of the environment reach the screens: a list of what is kept; everything else is dropped.

The terminal framework reads its own variables when it is imported: some of them load any module by name,
write a file anywhere the person may write, or type keys. A person who came in by a forced login must not be
able to change where code or data come from. So the entry point calls `scrub` before anything heavy is
imported.
"""

from __future__ import annotations

import re
from collections.abc import MutableMapping

_WORD = re.compile(r"[A-Za-z0-9+._-]{1,40}")
_LOCALE = re.compile(r"[A-Za-z0-9@._-]{1,40}")
_ANY = re.compile(r"[^\x00-\x1f\x7f]{0,4096}")

# The terminal and the language: kept in every session, if they look like what they should be.
ALWAYS: dict[str, re.Pattern[str]] = {
    "TERM": _WORD,
    "COLORTERM": re.compile(r"truecolor|24bit"),
    "NO_COLOR": _ANY,
    "LANG": _LOCALE,
    "LC_ALL": _LOCALE,
    "LC_CTYPE": _LOCALE,
    "TZ": re.compile(r"[A-Za-z0-9/_+-]{1,60}"),
}

# Who the person is and where their files are: kept when they sit at their own machine.
AT_HOME: dict[str, re.Pattern[str]] = dict.fromkeys(
    (
        *("HOME", "USER", "LOGNAME", "PATH", "TMPDIR", "SSH_CONNECTION"),
        *("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"),
        *("HERDBOOK_BOOK", "HERDBOOK_PERSON", "HERDBOOK_COLORS"),
    ),
    _ANY,
)

# What a forced login gets in their place; the home folder is looked up among the system's users when needed.
FORCED_PATH = "/usr/bin:/bin"


def scrub(environ: MutableMapping[str, str], *, forced: bool = False) -> list[str]:
    """Drop every variable that is not on the list; return the names dropped.

    Args:
        environ: the environment to clean, usually ``os.environ``; changed in place.
        forced: the person came in by a forced command, so only terminal and language are theirs to set.

    Returns:
        Names that were dropped, sorted; a test compares them with what the framework reads.
    """
    kept = ALWAYS if forced else ALWAYS | AT_HOME
    dropped = sorted(name for name, value in environ.items() if not _may_stay(kept, name, value))
    for name in dropped:
        del environ[name]
    if forced:
        environ["PATH"] = FORCED_PATH
    return dropped


def _may_stay(kept: dict[str, re.Pattern[str]], name: str, value: str) -> bool:
    shape = kept.get(name)
    return shape is not None and shape.fullmatch(value) is not None

"""Starts the program; an interrupt while it is still loading ends it in one line."""

from __future__ import annotations

import sys
from collections.abc import Sequence

INTERRUPTED = 130
"""128 + SIGINT, as a shell reports a program that ctrl+c ended."""


def main() -> None:
    """Run the command line and leave with its status."""
    try:
        status = _run(sys.argv[1:])
    except KeyboardInterrupt:
        sys.stderr.write("Interrupted.\n")
        status = INTERRUPTED
    sys.exit(status)


def _run(words: Sequence[str]) -> int:
    options = screens_only(words)
    if options is not None:
        from herdbook.cli.screens import open_plainly

        return open_plainly(*options)
    from herdbook.cli.main import run

    return run(words)


def screens_only(words: Sequence[str]) -> tuple[str, str] | None:
    """Book and person when nothing but these is said, so that the screens open without the command line's parser.

    Anything else, a mistake too, is for the parser: it knows what to answer.
    """
    given = {"--book": "", "--person": ""}
    rest = list(words)
    while rest:
        name, mark, value = rest.pop(0).partition("=")
        if name not in given or given[name]:
            return None
        if not mark:
            value = rest.pop(0) if rest else ""
        if not value or value.startswith("-"):
            return None
        given[name] = value
    return given["--book"], given["--person"]


if __name__ == "__main__":
    main()

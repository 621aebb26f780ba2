"""Starts the program; an interrupt while it is still loading ends it in one line."""

from __future__ import annotations

import sys

INTERRUPTED = 130
"""128 + SIGINT, as a shell reports a program that ctrl+c ended."""


def main() -> None:
    """Run the command line and leave with its status."""
    try:
        from herdbook.cli.main import run

        status = run(sys.argv[1:])
    except KeyboardInterrupt:
        sys.stderr.write("Interrupted.\n")
        status = INTERRUPTED
    sys.exit(status)


if __name__ == "__main__":
    main()

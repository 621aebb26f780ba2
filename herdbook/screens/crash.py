"""A fault of the program: one line for the person, a report for whoever mends it, no values shown."""

from __future__ import annotations

import os
import sys
import traceback
from pathlib import Path


def tell_crash(report: str, log: Path | None) -> None:
    """Say in one line on standard error that the program failed, and write the report where it belongs.

    Args:
        report: the traceback as text.
        log: file it is appended to, made for its owner alone; None for nowhere.
    """
    where = ""
    if log is not None:
        try:
            with os.fdopen(
                os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND | os.O_NOFOLLOW, 0o600), "a"
            ) as file:
                file.write(report)
            where = f" The report is in {log.name}, in the program's own folder."
        except OSError:
            where = " The report could not be written down."
    sys.stderr.write(f"Something went wrong in the program. What was written is in the book.{where}\n")


def report_of(error: BaseException | None) -> str:
    """Give the traceback of an error as text, without values of variables."""
    return "".join(traceback.format_exception(error)) if error is not None else ""

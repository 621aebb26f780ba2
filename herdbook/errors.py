"""The family of errors a person can cause: each says what happened and what to do next."""

from __future__ import annotations

# The names say what happened, as the sentences do; "Error" behind them would add nothing (hence noqa: N818).
EXIT_CHORE_REFUSED = 1
EXIT_REFUSED = 2


class HerdbookError(Exception):
    """Something a person can mend.

    Args:
        message: what happened, as a full sentence for the person at the keyboard.
        remedy: what to do about it, as a second sentence; may be empty.
    """

    exit_status = EXIT_CHORE_REFUSED

    def __init__(self, message: str, *, remedy: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy

    def __str__(self) -> str:
        return f"{self.message} {self.remedy}".strip()


class Refused(HerdbookError):  # noqa: N818
    """Something typed could not be used; `field` names what was typed where."""

    exit_status = EXIT_REFUSED

    def __init__(self, message: str, *, remedy: str = "", field: str = "") -> None:
        super().__init__(message, remedy=remedy)
        self.field = field


class SeveralRefused(Refused):
    """Several fields of one form could not be used; all are told at once, nothing was written."""

    def __init__(self, faults: list[Refused]) -> None:
        super().__init__(" ".join(str(fault) for fault in faults), field=faults[0].field)
        self.faults = faults


class ChoreRefused(HerdbookError):  # noqa: N818
    """The chore was understood but may not be done now (role, struck entry, full tank and the like)."""


class WrittenMeanwhile(ChoreRefused):
    """Somebody else wrote what this was drafted from anew; `entry` is the newest there is now."""

    def __init__(self, message: str, *, remedy: str = "", entry: int) -> None:
        super().__init__(message, remedy=remedy)
        self.entry = entry


class NotABook(HerdbookError):  # noqa: N818
    """The file is not a herdbook, or not one this program can read; it was left untouched."""

    exit_status = EXIT_REFUSED


class NoBook(HerdbookError):  # noqa: N818
    """There is no file where the book should be."""

    exit_status = EXIT_REFUSED


class DamagedBook(HerdbookError):  # noqa: N818
    """The file is a herdbook but SQLite cannot read part of it; it is not written to."""

    exit_status = EXIT_REFUSED


class BookBusy(HerdbookError):  # noqa: N818
    """Another person held the book's writing turn longer than we were ready to wait."""

    def __init__(self, waited_s: float) -> None:
        super().__init__(
            f"Someone else is writing in the book (waited {waited_s:.0f} s).",
            remedy="Try again in a moment; nothing you typed is lost.",
        )

"""A person at the screens of a book on a pseudo-terminal: presses keys, fills slips, moves the clock."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from tests.terminal import NotSeenError, Terminal

ROOT = Path(__file__).resolve().parents[1]
FARM_ZONE = ZoneInfo("America/Chicago")
Answer = str | Sequence[tuple[str, str]]


class FarmTime:
    """A clock that stands until it is told, kept in a file that another program can read."""

    def __init__(self, file: Path, local: str) -> None:
        self.file = file
        self.set(local)

    def set(self, local: str) -> None:
        """Move to a local time of the farm, such as `2026-03-09 06:40`."""
        at_s = int(datetime.fromisoformat(local).replace(tzinfo=FARM_ZONE).timestamp())
        whole = self.file.with_suffix(".new")
        whole.write_text(str(at_s))
        whole.replace(self.file)  # never half written for a reader

    def now(self) -> datetime:
        """The instant it is."""
        return datetime.fromtimestamp(int(self.file.read_text()), UTC)


class Seat(Terminal):
    """The screens, opened on a book for one person.

    Args:
        book: the book's file.
        time: the clock.
        person: whose seat it is; empty for somebody who only looks.
        size: columns and rows of the terminal.
    """

    def __init__(
        self, book: Path, time: FarmTime, person: str = "Ada", size: tuple[int, int] = (80, 24)
    ) -> None:
        command = [sys.executable, "-m", "tests.day_program", str(book), str(time.file), person]
        super().__init__(command, columns=size[0], rows=size[1], cwd=str(ROOT))

    def go(self, key: str, title: str) -> None:
        """Go to a place and wait for what it shows."""
        self.press(key)
        self.wait(title)
        self.quiet(0.1)

    def rows_after(self, heading: str) -> list[str]:
        """The rows below the one that begins with a heading."""

        def begins(line: str) -> bool:
            return line.lstrip().startswith(heading)

        self.wait(lambda text: any(map(begins, text.splitlines())), f"a row that begins with {heading!r}")
        at = next(at for at, line in enumerate(self.lines) if begins(line))
        return self.lines[at + 1 :]

    def row(self, begins: str) -> str:
        """The first row that holds these words at its beginning, marks aside."""
        return next(line for line in self.lines if line.lstrip(" ▸✓×c!").startswith(begins))

    def fill(self, title: str, answers: Mapping[str, Answer] | None = None, *, written: str) -> None:
        """Fill the slip that is rising, say yes, and wait for what is then said.

        Args:
            title: the slip's heading, in capitals.
            answers: label of a field -> what is typed there; for repeated lines, what is typed in each.
            written: words of what is said to be written.
        """
        self.ask_to_write(title, answers)
        self.press("enter")
        self.wait(f"Written: {written}")

    def ask_to_write(self, title: str, answers: Mapping[str, Answer] | None = None) -> None:
        """Fill the slip up to its question."""
        self.wait(title)
        left = dict(answers or {})
        for _ in range(60):
            self.quiet(0.06)
            if " Write? " in self.text:
                assert not left, f"never asked for {list(left)}:\n{self.text}"
                return
            before = self._place_in(title)
            self._answer(left.pop(self.field_asked(title, left), ""))
            self.wait(
                lambda text, before=before: " Write? " in text or self._place_in(title) != before,
                "the next field",
            )
        raise NotSeenError(f"the slip never asked:\n{self.text}")

    def _place_in(self, title: str) -> tuple[int, list[str]]:
        """Where the cursor's row stands, and the slip's other rows; typing changes neither, going on changes one.

        A slow machine must not be taken for a field that was passed by.
        """
        rows = self.rows_after(title) if any(line.lstrip().startswith(title) for line in self.lines) else []
        at = next((at for at, line in enumerate(rows) if line.startswith((" ▸ ", " > "))), -1)
        return at, [line for number, line in enumerate(rows[:-2]) if number != at]

    def field_asked(self, title: str, labels: Iterable[str]) -> str:
        """Which of these labels the field with the cursor has; empty when it is another one."""
        rows = self.rows_after(title)
        chosen = next((line[3:] for line in rows if line.startswith((" ▸ ", " > "))), "")
        return max((label for label in labels if chosen.startswith(f"{label} ")), key=len, default="")

    def _answer(self, answer: Answer) -> None:
        if not isinstance(answer, str):
            for first, second in answer:
                self.press(first, "enter", second, "enter")
            self.quiet(0.1)
            answer = ""
        if answer:
            self.press(answer)
        self.press("enter")

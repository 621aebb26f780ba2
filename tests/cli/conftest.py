"""A keyboard at a farm's book: commands are run in this process, with a clock and a login of the test's own."""

from __future__ import annotations

import io
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from herdbook.cli.main import run
from tests.yard import Yard


@dataclass(frozen=True)
class Answer:
    """What a command said and how it ended."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)


@dataclass
class Keyboard:
    """Where commands are typed; `login` is who the system says is sitting there."""

    yard: Yard
    capsys: pytest.CaptureFixture[str]
    monkeypatch: pytest.MonkeyPatch
    login: str = "ada"

    @property
    def path(self) -> Path:
        return self.yard.path

    def __call__(self, *words: str, stdin: str | None = None, person: str = "") -> Answer:
        """Type a command on the book."""
        lead = ["--book", str(self.path), *(["--person", person] if person else [])]
        return self.bare(*lead, *words, stdin=stdin)

    def bare(self, *words: str, stdin: str | None = None) -> Answer:
        """Type a command, naming no book."""
        if stdin is not None:
            self.monkeypatch.setattr("sys.stdin", io.StringIO(stdin))
        self.capsys.readouterr()
        status = run(list(words), now=self.yard.now, login=self.login)
        out, err = self.capsys.readouterr()
        return Answer(status, out, err)


@pytest.fixture
def keyboard(yard: Yard, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Keyboard:
    """At the book with one of everything; Ada, its owner, sits there."""
    return Keyboard(yard, capsys, monkeypatch)


@pytest.fixture
def bare_keyboard(
    bare_yard: Yard, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> Keyboard:
    """At a book that holds only the farm and its owner."""
    return Keyboard(bare_yard, capsys, monkeypatch)

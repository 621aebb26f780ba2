"""The two demo places on a small book, for the tests of the frame."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from textual import _wait

from herdbook.screens import keys
from herdbook.screens.app import HerdbookApp
from tests.screens import demo_places

# A pilot waits twice behind each key until the program has been idle so long, 1/50 s as it comes: a third of what
# the screens' tests took. They wait for facts (`tests/waiting.py`); a shorter look at idleness costs no certainty.
_wait.SLEEP_GRANULARITY = 1 / 100
_wait.SLEEP_IDLE = _wait.SLEEP_GRANULARITY / 20


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return demo_places.make_book(tmp_path / "demo.db")


@pytest.fixture
def make_barn(book: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., HerdbookApp]:
    """Make the program on the small book; words are those of `Opening`."""
    monkeypatch.setattr(keys, "PLACES", demo_places.PLACES)

    def make(environ: dict[str, str] | None = None, **changes: object) -> HerdbookApp:
        terminal = {"TERM": "xterm-256color"} if environ is None else environ
        return HerdbookApp(demo_places.opening(book, **changes), terminal)

    return make


@pytest.fixture
def barn(make_barn: Callable[..., HerdbookApp]) -> HerdbookApp:
    return make_barn()

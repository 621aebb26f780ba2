"""What every test stands on: a clean environment, one started book copied for each test, and hypothesis settings."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests.yard import Yard, write_template

settings.register_profile(
    "tests",
    deadline=None,  # time says nothing on a shared machine
    database=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "tests"))


@pytest.fixture(autouse=True)
def _nothing_of_this_machine(
    monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """No test sees anyone's home, settings, book or colours."""
    home = tmp_path_factory.getbasetemp() / "home"
    home.mkdir(exist_ok=True)
    monkeypatch.setenv("HOME", str(home))
    for name in ("HERDBOOK_BOOK", "NO_COLOR", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture(scope="session")
def template_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A started book with one of everything, made once; tests copy it."""
    path = tmp_path_factory.mktemp("template") / "farm.book"
    write_template(path)
    return path


@pytest.fixture
def yard(template_book: Path, tmp_path: Path) -> Iterator[Yard]:
    """A farm's book with one of everything, open for writing, and its people."""
    path = tmp_path / "farm.book"
    shutil.copyfile(template_book, path)
    made = Yard(path)
    yield made
    made.book.close()


@pytest.fixture
def bare_yard(tmp_path: Path) -> Iterator[Yard]:
    """A book that was started a moment ago and holds nothing but the farm and its owner."""
    path = tmp_path / "farm.book"
    made = Yard.started(path)
    yield made
    made.book.close()

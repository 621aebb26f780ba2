"""A book that may not be read, or not be written: one true sentence, an exit status, and nothing changed."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.yard import Yard

ROOT = Path(__file__).parents[2]
NO_PASSING_BY = ("setpriv", "--bounding-set=-dac_override,-dac_read_search")
"""Root passes modes by; without these two rights it is held by them as everybody is."""
pytestmark = pytest.mark.skipif(
    os.getuid() == 0 and shutil.which("setpriv") is None, reason="root would pass modes by"
)


@pytest.fixture
def book(yard: Yard) -> Iterator[Path]:
    """The yard's book, in a folder of its own."""
    yard.book.close()
    folder = yard.path.parent / "spot"
    folder.mkdir()
    shutil.copyfile(yard.path, folder / "farm.book")
    yield folder / "farm.book"
    folder.chmod(0o755)


def herdbook(book: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "herdbook", "--book", str(book), "--person", "Ada", *words]
    if os.getuid() == 0:
        command = [*NO_PASSING_BY, *command]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)


def bytes_of(book: Path) -> bytes:
    book.parent.chmod(0o755)
    book.chmod(0o644)
    return book.read_bytes()


@pytest.mark.parametrize(("mode", "folder"), [(0o000, 0o755), (0o644, 0o000)], ids=["file", "folder"])
@pytest.mark.parametrize(
    "words", [["show", "today"], ["write", "temperature", "--reading", "39F"], ["check"]]
)
def test_a_book_that_may_not_be_read_is_told_in_one_sentence(
    book: Path, mode: int, folder: int, words: list[str]
) -> None:
    before = book.read_bytes()
    book.chmod(mode)
    book.parent.chmod(folder)
    done = herdbook(book, *words)
    assert done.returncode not in (0, 70), done.stdout
    assert done.stderr.endswith("farm.book cannot be read: Permission denied. Check who owns the file.\n")
    assert len(done.stderr.strip().splitlines()) == 1
    assert bytes_of(book) == before


def test_a_book_in_a_place_that_may_not_be_written_refuses_a_chore_in_a_sentence(book: Path) -> None:
    before = book.read_bytes()
    book.chmod(0o444)
    book.parent.chmod(0o555)
    done = herdbook(book, "write", "temperature", "--reading", "39F")
    assert done.returncode not in (0, 70)
    assert len(done.stderr.strip().splitlines()) == 1
    assert "cannot be opened for this; nothing was written. Check who owns the file" in done.stderr
    assert bytes_of(book) == before

#!/usr/bin/env python3
"""How long herdbook takes to start, beside the floors it stands on, taken in the same run.

    .venv/bin/python scripts/bench_start.py [--strict] [--runs N] [--book PATH] [--frame-only]

Prints milliseconds (best of N) and ratios to the floor; with --strict a ratio over its aim exits with 1.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from tests.terminal import Terminal  # noqa: E402 - the folder above is not installed

BARE_CLICK = """
import click
@click.command()
@click.version_option("1")
def main(): pass
main()
"""

SQLMODEL_READER = """
import sys
from sqlmodel import Session, create_engine, text
with Session(create_engine(f"sqlite:///{sys.argv[1]}")) as session:
    print(session.exec(text("select count(*) from sqlite_master")).one())
"""

BARE_TEXTUAL = """
from textual.app import App
from textual.widgets import Static
class Bare(App):
    def compose(self):
        yield Static("here it stands")
Bare().run()
"""

NUMBER = re.compile(rb"[0-9]\.[0-9](\x1b\[C| )?\xc2\xb0(\x1b\[[0-9;]*m)?[FC]")


@dataclass
class Line:
    """One line of the table: what, how long, over which floor, and the ratio aimed for."""

    what: str
    best_ms: float
    floor_ms: float = 0.0
    aim: float = 0.0

    @property
    def ratio(self) -> float:
        """Ours over the floor."""
        return self.best_ms / self.floor_ms if self.floor_ms else 0.0

    @property
    def over(self) -> bool:
        """Whether the aim was missed."""
        return bool(self.aim) and self.ratio > self.aim


def main() -> int:
    """Measure and print."""
    options = _options()
    with tempfile.TemporaryDirectory() as folder:
        lines = measure(Path(folder), options)
    print(f"{'':44}{'ms':>8}{'floor':>8}{'ratio':>8}{'aim':>8}")
    for line in lines:
        floor = f"{line.floor_ms:8.0f}{line.ratio:8.2f}{line.aim:8.2f}" if line.floor_ms else ""
        print(f"{line.what:44}{line.best_ms:8.0f}{floor}{'  over' if line.over else ''}")
    return 1 if options.strict and any(line.over for line in lines) else 0


def measure(folder: Path, options: argparse.Namespace) -> list[Line]:
    """Take floors and ours, turn by turn, so that a busy moment of the machine falls on both."""
    for name, text in (
        ("floor_click", BARE_CLICK),
        ("floor_reader", SQLMODEL_READER),
        ("floor_textual", BARE_TEXTUAL),
    ):
        (folder / f"{name}.py").write_text(text)
    book, ours = _program(folder, options)
    jobs: dict[str, Callable[[], list[float]]] = {
        "bare": lambda: [_painted([sys.executable, str(folder / "floor_textual.py")], b"here it stands")],
        "screens": lambda: _both(ours),
    }
    if not options.frame_only:
        herdbook = [sys.executable, "-m", "herdbook", "--book", str(book)]
        jobs |= {
            "click": lambda: [_ran([sys.executable, str(folder / "floor_click.py"), "--version"])],
            "version": lambda: [_ran([sys.executable, "-m", "herdbook", "--version"])],
            "reader": lambda: [_ran([sys.executable, str(folder / "floor_reader.py"), str(book)])],
            "today": lambda: [_ran([*herdbook, "show", "today", "--as", "json"])],
        }
    taken: dict[str, list[list[float]]] = {name: [] for name in jobs}
    for _ in range(options.runs + 1):  # the first only warms the file cache
        for name, job in jobs.items():
            taken[name].append(job())
    best = {
        name: [min(column) * 1000 for column in zip(*runs[1:], strict=True)] for name, runs in taken.items()
    }
    return _lines(best)


def _lines(best: dict[str, list[float]]) -> list[Line]:
    bare = best["bare"][0]
    lines = [
        Line("floor: bare Textual, first frame", bare),
        Line("screens: first frame", best["screens"][0], bare, 1.3),
        Line("screens: real numbers", best["screens"][1], bare, 1.8),
    ]
    if "click" in best:
        lines += [
            Line("floor: bare click program, --version", best["click"][0]),
            Line("herdbook --version", best["version"][0], best["click"][0], 1.5),
            Line("floor: sqlmodel reads one row", best["reader"][0]),
            Line("herdbook show today --as json", best["today"][0], best["reader"][0], 1.4),
        ]
    return lines


def _program(folder: Path, options: argparse.Namespace) -> tuple[Path, list[str]]:
    """The book to measure on, and the command that shows the screens on it."""
    book = options.book or folder / "demo.herdbook"
    if options.frame_only:
        return book, [
            sys.executable,
            "-m",
            "tests.screens.demo_program",
            str(book),
            str(folder / "drafts.json"),
        ]
    if not book.exists():
        command = [sys.executable, "-m", "herdbook", "--book", str(book), "demo", "--no-open"]
        subprocess.run(command, check=True, cwd=ROOT, stdout=subprocess.DEVNULL)
    return book, [sys.executable, "-m", "herdbook", "--book", str(book)]


def _ran(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, check=True, cwd=ROOT, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def _painted(command: list[str], last: bytes) -> float:
    with Terminal(command, cwd=str(ROOT), fast=True) as terminal:
        return terminal.wait_bytes(lambda sent: last in sent, f"{last!r} to be painted")


def _both(command: list[str]) -> list[float]:
    with Terminal(command, cwd=str(ROOT), fast=True) as terminal:
        frame_s = terminal.wait_bytes(lambda sent: b"all keys" in sent, "the frame")
        numbers_s = terminal.wait_bytes(lambda sent: NUMBER.search(sent) is not None, "a temperature")
    return [frame_s, numbers_s]


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--strict", action="store_true", help="exit 1 when a ratio is over its aim")
    parser.add_argument("--runs", type=int, default=9, help="runs of each; the best counts")
    parser.add_argument("--book", type=Path, help="a book to measure on; a made-up one when left out")
    parser.add_argument(
        "--frame-only", action="store_true", help="measure the frame with the tests' two places"
    )
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())

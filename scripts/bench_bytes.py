#!/usr/bin/env python3
"""How many bytes the screens send for what people do, through a pseudo-terminal of 80x24 in 256 colours.

    .venv/bin/python scripts/bench_bytes.py [--strict] [--idle SECONDS] [--book PATH] [--frame-only]

Printed beside less and nano where they are installed; with --strict a figure over its aim exits with 1.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from tests.terminal import Terminal  # noqa: E402 - the folder above is not installed

MOST_FOR_AN_INGREDIENT = 6_000  # at 10 kB/s that is over before the loader is back at the heap
DELAY_MS, BYTES_S = 300, 10_000
FIELD_KEY = "f4"  # the place whose field is typed in


@dataclass
class Figure:
    """One line of the table: what was done, how many bytes came, what others send, and the aim."""

    what: str
    sent: int
    beside: str = ""
    aim: int | None = None

    @property
    def over(self) -> bool:
        """Whether the aim was missed."""
        return self.aim is not None and self.sent > self.aim


def main() -> int:
    """Measure and print."""
    options = _options()
    with tempfile.TemporaryDirectory() as folder:
        others = _others(Path(folder))
        figures = _screens(Path(folder), options, others)
        slow = [] if options.frame_only else _over_a_slow_line(_program(Path(folder), options))
    print(f"{'80x24, 256 colours':44}{'bytes':>8}{'aim':>8}   beside")
    for figure in figures:
        aim = "" if figure.aim is None else str(figure.aim)
        print(f"{figure.what:44}{figure.sent:8}{aim:>8}   {figure.beside}{'  over' if figure.over else ''}")
    for what, seconds in slow:
        print(f"{what:44}{seconds:8.1f} s  over {DELAY_MS} ms each way and {BYTES_S:,} bytes a second")
    return 1 if options.strict and any(figure.over for figure in figures) else 0


def _screens(folder: Path, options: argparse.Namespace, others: dict[str, int]) -> list[Figure]:
    with Terminal(_program(folder, options), cwd=str(ROOT)) as terminal:
        terminal.wait("all keys", "the frame")
        terminal.quiet(0.8)
        figures = [
            Figure("first paint, with real numbers", terminal.bytes, _beside(others, "first paint"), 15_000)
        ]
        keys = [key for key in ("f3", "f4", "f5", "f7") if key[1:] in _digits(terminal.lines[0])]
        figures += [Figure(f"first visit {key.upper()}", _sent(terminal, key)) for key in keys]
        figures += [Figure(f"again {key.upper()}", _sent(terminal, key)) for key in ["f2", *keys]]
        terminal.press(FIELD_KEY)
        terminal.quiet(0.8)
        figures.append(Figure("first digit in the field, alone", _sent(terminal, "4", 0.1), aim=150))
        terminal.quiet(0.5)
        figures.append(
            Figure("second digit, alone", _sent(terminal, "1", 0.1), _beside(others, "letter"), 150)
        )
        figures.append(Figure("read-back after it", terminal.quiet(0.5)))
        figures.append(Figure("backspace", _sent(terminal, "backspace", 0.5)))
        page = round(2.5 * others.get("less, page down", 1_676))
        figures.append(Figure("F1, list of all keys", _sent(terminal, "f1")))
        figures.append(Figure("page down in it", _sent(terminal, "pgdn"), _beside(others, "page down"), page))
        figures.append(Figure("Esc, back from it", _sent(terminal, "esc")))
        terminal.press("f2")
        terminal.quiet(0.8)
        figures.append(
            Figure("down a line in Today", _sent(terminal, "down"), _beside(others, "line down"), 300)
        )
        figures += _amount(terminal)
        figures += _ingredients(terminal)
        terminal.quiet(2.5)
        figures.append(Figure(f"idle {options.idle:.0f} s", _idle(terminal, options.idle), aim=0))
    return figures


def _amount(terminal: Terminal) -> list[Figure]:
    """Digits of an amount at the ration desk: each but the last, and the last, after which every figure moves."""
    terminal.press("f5")
    terminal.quiet(1.0)
    first = _sent(terminal, "1", 0.35)
    last = _sent(terminal, "2", 1.2)
    terminal.press("backspace", "backspace", "f2")
    terminal.quiet(1.0)
    return [
        Figure("a digit of an amount at the ration desk", first, aim=300),
        Figure("its last digit, every figure moving", last),
    ]


def _ingredients(terminal: Terminal) -> list[Figure]:
    """One feed into a load by Enter on its target, and the next one typed; none where the day is fed already."""
    terminal.press("f3")
    terminal.quiet(0.8)
    for _ in range(3):
        if " Scale reads " in terminal.text:
            break
        terminal.press("enter")  # begins the load that is offered, or goes to all loads
        terminal.quiet(1.0)
    else:
        return []
    taken = _sent(terminal, "enter", 1.0)
    before, target = terminal.bytes, terminal.text.rpartition(" to ")[2].split()[0].replace(",", "")
    terminal.press(*target)
    terminal.quiet(0.5)
    terminal.press("enter")
    terminal.quiet(1.0)
    typed = terminal.bytes - before
    terminal.press("f2")
    return [
        Figure("an ingredient, Enter on its target", taken, aim=MOST_FOR_AN_INGREDIENT),
        Figure("an ingredient, typed", typed, aim=MOST_FOR_AN_INGREDIENT),
    ]


def _over_a_slow_line(program: list[str]) -> list[tuple[str, float]]:
    """Seconds from a key to what it brings, on the same book behind a slow line; the line's own 0.6 s are in them."""
    line = [sys.executable, "-m", "tests.slow_line", str(DELAY_MS), str(BYTES_S)]
    with Terminal([*line, *program], cwd=str(ROOT)) as terminal:
        found = [("from start to real numbers", terminal.wait("all keys", "the frame"))]
        terminal.quiet(2.0)
        for key in ("f3", "f4", "f5", "f7", "f3"):
            found.append((f"{key.upper()} to the last of its bytes", _seconds(terminal, key)))
        for _ in range(3):
            if " Scale reads " in terminal.text:
                found.append(("an ingredient, Enter on its target", _seconds(terminal, "enter")))
                target = terminal.text.rpartition(" to ")[2].split()[0].replace(",", "")
                found.append(("an ingredient, typed ahead", _seconds(terminal, *target, "enter")))
                break
            terminal.press("enter")
            terminal.quiet(2.0)
    return found


def _seconds(terminal: Terminal, *keys: str) -> float:
    """Seconds from keys pressed at once to the last byte they bring, to a tenth."""
    began, last, seen = time.monotonic(), time.monotonic(), terminal.bytes
    terminal.press(*keys)
    while time.monotonic() - last < 1.5:
        terminal.quiet(0.05, within_s=0.1)
        if terminal.bytes != seen:
            last, seen = time.monotonic(), terminal.bytes
    return last - began


def _digits(row: str) -> set[str]:
    """The numbers of the function keys shown in the first row."""
    return {word[1:] for word in row.split() if word[:1] == "F"}


def _idle(terminal: Terminal, for_s: float) -> int:
    before = terminal.bytes
    terminal.quiet(for_s, within_s=for_s)
    return terminal.bytes - before


def _sent(terminal: Terminal, key: str, quiet_s: float = 0.6) -> int:
    before = terminal.bytes
    terminal.press(key)
    terminal.quiet(quiet_s)
    return terminal.bytes - before


def _program(folder: Path, options: argparse.Namespace) -> list[str]:
    book = options.book or folder / "demo.herdbook"
    if options.frame_only:
        return [sys.executable, "-m", "tests.screens.demo_program", str(book), str(folder / "drafts.json")]
    if not book.exists():
        command = [sys.executable, "-m", "herdbook", "--book", str(book), "demo", "--no-open"]
        subprocess.run(command, check=True, cwd=ROOT, stdout=subprocess.DEVNULL)
    return [sys.executable, "-m", "herdbook", "--book", str(book)]


def _others(folder: Path) -> dict[str, int]:
    """What the plainest programs of the terminal send for the same, where they are installed."""
    found: dict[str, int] = {}
    text = folder / "lines.txt"
    text.write_text(
        "".join(f"line {number} of some sixty signs, as a table of readings has\n" for number in range(400))
    )
    if less := shutil.which("less"):
        with Terminal([less, str(text)], cwd=str(folder)) as terminal:
            terminal.wait("line 20")
            terminal.quiet()
            found["less, first paint"] = terminal.bytes
            found["less, line down"] = _sent(terminal, "j", 0.3)
            found["less, page down"] = _sent(terminal, " ", 0.3)
    if nano := shutil.which("nano"):
        with Terminal([nano, "--ignorercfiles", str(folder / "new.txt")], cwd=str(folder)) as terminal:
            terminal.wait("Exit")
            terminal.quiet()
            found["nano, first paint"] = terminal.bytes
            terminal.press("4")
            terminal.quiet()
            found["nano, letter"] = _sent(terminal, "1", 0.3)
    return found


def _beside(others: dict[str, int], what: str) -> str:
    return "  ".join(
        f"{name.partition(',')[0]} {sent}" for name, sent in others.items() if name.endswith(f", {what}")
    )


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--strict", action="store_true", help="exit 1 when a figure is over its aim")
    parser.add_argument("--idle", type=float, default=60.0, help="how many seconds to sit still")
    parser.add_argument("--book", type=Path, help="a book to measure on; a made-up one when left out")
    parser.add_argument(
        "--frame-only", action="store_true", help="measure the frame with the tests' two places"
    )
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())

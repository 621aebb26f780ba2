"""Write chores one after another and say each on a line once it is told to be written; killed by the test."""

from __future__ import annotations

import itertools
import sys
from pathlib import Path

from herdbook.chores.doing import find_chore
from tests.yard import ADA, Yard

ROUND = (
    ("temperature", {"reading": "45"}),
    ("pickup", {"weight": "400", "emptied": "no"}),
    ("analysis", {"feed": "corn", "dry": "34", "value": ["cp=8", "ndf=44", "ca=0.3", "p=0.26"]}),
    ("load", {"pen": "High", "loaded": ["corn=2600", "mineral=42"]}),
)


def run(path: Path, name: str, most: int | None) -> None:
    """Write, with requests that carry the writer's name, until killed or `most` are written."""
    yard = Yard(path)
    drafts = [(find_chore(chore), yard.draft(chore, **texts)) for chore, texts in ROUND]
    for number in itertools.islice(itertools.count(), most):
        chore, draft = drafts[number % len(drafts)]
        written = chore(yard.book, draft, by=ADA, now=yard.now, request=f"{name}-{number}")
        sys.stdout.write(f"{number} {written.entry}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    run(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]) if len(sys.argv) > 3 else None)

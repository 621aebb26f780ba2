"""Trials of durability at full length, with their counts: scripts/trials_kept.py [TRIAL ...] [--share 0.1]

The tests do a small share of each. A trial that finds a fault ends with it; nothing is counted that was not looked at.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import click

from tests.trials import TRIALS


@click.command(help=__doc__)
@click.argument("trials", nargs=-1, type=click.Choice(list(TRIALS)))
@click.option("--share", default=1.0, show_default=True, type=click.FloatRange(0.001, 1))
def main(trials: tuple[str, ...], share: float) -> None:
    """Run and print."""
    for name in trials or TRIALS:
        with tempfile.TemporaryDirectory() as folder:
            began = time.monotonic()
            counts = TRIALS[name](Path(folder), share)
        print(f"{name} ({time.monotonic() - began:.0f} s)")
        for what, count in counts.items():
            print(f"  {count:>9,}  {what}", flush=True)


if __name__ == "__main__":
    main()

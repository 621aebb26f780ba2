"""Feeds the readers of typed and sent text with spoilt input, and counts: scripts/fuzz.py [READER ...]

Each reader gets --cases mutations of good input (or as many as --seconds allow), --examples that hypothesis makes, and
ten million bytes of each of ten kinds in a program of its own. It fails on anything raised but a refusal in a sentence,
on a case over one processor second, and on more than 200 MB held. Processor time, so that a busy machine is no fault.
"""

from __future__ import annotations

import subprocess
import sys
import time

import click
from hypothesis import HealthCheck, given, settings

from tests.fuzzing import BIG, LONGEST_S, MOST_MB, READERS, Reader, case, hammer, made_up, peak_MB


def examples(reader: Reader, many: int) -> float:
    """Let hypothesis look for a case that fails; seconds it took."""

    @settings(max_examples=many, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(made_up(reader))
    def look(sent: bytes) -> None:
        before = time.thread_time()
        case(reader, sent)
        assert time.thread_time() - before <= LONGEST_S

    began = time.monotonic()
    look()
    return time.monotonic() - began


def peak_of(name: str) -> tuple[float, str]:
    """The most megabytes over all kinds of long input, and the kind."""
    found = []
    for kind in BIG:
        words = [sys.executable, __file__, name, "--peak", kind]
        done = subprocess.run(words, capture_output=True, text=True, check=False)
        if done.returncode:
            sys.exit(f"{name}, {kind}: {done.stderr}")
        found.append((float(done.stdout), kind))
    return max(found)


@click.command(help=__doc__)
@click.argument("readers", nargs=-1, type=click.Choice(list(READERS)))
@click.option("--cases", default=1_000_000, show_default=True)
@click.option("--examples", "many", default=5_000, show_default=True)
@click.option("--seconds", default=600.0, show_default=True, help="at most, a reader's mutations")
@click.option("--seed", default=20260309, show_default=True)
@click.option("--peak", hidden=True, type=click.Choice(list(BIG)))
def main(
    readers: tuple[str, ...], cases: int, many: int, seconds: float, seed: int, peak: str | None
) -> None:
    """Feed, count, print."""
    if peak:
        print(peak_MB(readers[0], peak))
        return
    print("reader       mutated  understood      s  cases/s  longest ms   made up      s  10 MB held  of")
    for name in readers or READERS:
        tally = hammer(READERS[name], cases=cases, seconds=seconds, seed=seed)
        took_s = examples(READERS[name], many)
        held, kind = peak_of(name)
        print(
            f"{name:<11}{tally.cases:>9,}{tally.understood:>12,}{tally.took_s:>7.0f}"
            f"{tally.cases / tally.took_s:>9,.0f}{1000 * tally.longest_s:>12.1f}"
            f"{many:>10,}{took_s:>7.0f}{held:>9.0f} MB  {kind}",
            flush=True,
        )
        if held > MOST_MB:
            sys.exit(f"{name}: more than {MOST_MB} MB for ten million bytes.")


if __name__ == "__main__":
    main()

"""Makes a made-up book of any length for benchmarks; every entry goes through its chore, none is copied in."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import click

from herdbook.clock import utc_now
from herdbook.demo.write_farm import MOST_DAYS, write_farm
from herdbook.errors import HerdbookError


def _instant(_context: object, _parameter: object, text: str) -> datetime:
    if not text:
        return utc_now()
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        raise click.BadParameter("Type it as 2026-03-10T18:45+00:00.") from None
    return found if found.tzinfo else found.replace(tzinfo=UTC)


def _progress(began: float) -> Callable[[int, int], None]:
    def said(done: int, total: int) -> None:
        if done and (done == total or done % max(1, total // 100) == 0):
            passed_s = time.perf_counter() - began
            left_s = passed_s / done * (total - done)
            ending = "\n" if done == total else "\r"
            print(
                f"{done:,} of {total:,} days, {passed_s:.0f} s, {left_s:.0f} s to go   ",
                end=ending,
                file=sys.stderr,
            )

    return said


@click.command(help=__doc__)
@click.option("--days", type=click.IntRange(1, MOST_DAYS), default=3650, show_default=True, help="farm days")
@click.option("--into", required=True, type=click.Path(path_type=Path), help="the file to make")
@click.option("--seed", type=int, default=1, show_default=True, help="where chance starts from")
@click.option("--until", default="", callback=_instant, help="the last moment, ISO 8601; now if not given")
def make_farm(days: int, into: Path, seed: int, until: datetime) -> None:
    """Make the book and say what is in it."""
    began = time.perf_counter()
    try:
        write_farm(into, days=days, seed=seed, now=lambda: until, progress=_progress(began))
    except HerdbookError as error:
        raise SystemExit(str(error)) from None
    megabytes = into.stat().st_size / 1e6
    print(f"{into}: {days:,} days, {megabytes:.1f} MB, made in {time.perf_counter() - began:.0f} s")


if __name__ == "__main__":
    make_farm()

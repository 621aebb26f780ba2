"""`herdbook demo`: write a made-up farm and open it; a real book is never written over."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from herdbook.cli.call import Call, say
from herdbook.errors import ChoreRefused, NoBook

DAYS, SEED = 30, 1

FRESH_S = 12 * 3600
"""A made-up farm whose newest entry is younger than this is opened as it is."""


def default_path() -> Path:
    """Where the made-up farm lies if nobody says: in the user's data folder, apart from the farm's own book."""
    import platformdirs

    return platformdirs.user_data_path("herdbook") / "made-up-farm.book"


@click.command()
@click.option(
    "--into", default="", metavar="PATH", help="the file to write; --book before the command says it too"
)
@click.option(
    "--days", type=click.IntRange(1, 400), default=None, metavar="N", help=f"how many days ({DAYS})"
)
@click.option("--seed", type=int, default=None, metavar="N", help=f"where chance starts from ({SEED})")
@click.option("--no-open", is_flag=True, help="only write it")
@click.pass_obj
def demo(call: Call, into: str, days: int | None, seed: int | None, no_open: bool) -> int:
    """Write a made-up farm and open it: names, cows, feeds and figures are all invented.

    One that is up to date to half a day is opened as it is; an older one, or one asked for with --days or
    --seed, is written anew. A real book is never written over.
    """
    path = Path(into or call.book).expanduser() if into or call.book else default_path()
    asked = days is not None or seed is not None
    if _is_fresh(path, call) and not asked:
        say(f"The made-up farm at {path} is up to date.")
    else:
        _write(path, call, days or DAYS, SEED if seed is None else seed)
    if no_open:
        say(f"Open it with: herdbook --book {path}")
        return 0
    from herdbook.cli.screens import open_screens

    return open_screens(call, path)


def _is_fresh(path: Path, call: Call) -> bool:
    """Whether a made-up farm lies there whose newest entry is of the last hours.

    Raises:
        ChoreRefused: a real book lies there.
        NotABook: something else lies there.
    """
    from herdbook.book.opening import reading
    from herdbook.book.reading.entries import newest_entries
    from herdbook.book.reading.farm import farm

    try:
        with reading(path) as connection:
            its_farm = farm(connection)
            newest = newest_entries(connection, 1)[0]
    except NoBook:
        return False
    if not its_farm.invented:
        raise ChoreRefused(
            f"{path} is a real book ({its_farm.name}); it was left untouched.",
            remedy="Name another file with --into.",
        )
    age_s = call.now_s() - int(newest["written_ms"]) // 1000
    return 0 <= age_s < FRESH_S


def _write(path: Path, call: Call, days: int, seed: int) -> None:
    """Write the farm beside, then put it in place of the older one: there is a whole farm at every moment."""
    from herdbook.demo.write_farm import write_farm

    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}.new")
    _remove(beside)
    try:
        with click.progressbar(length=days, label="Writing the made-up farm", file=sys.stderr) as bar:

            def progress(done: int, total: int) -> None:
                bar.length = total
                bar.update(done - bar.pos)

            write_farm(beside, days=days, seed=seed, now=call.clock, progress=progress, login=call.login_name)
        _remove(path)
        beside.replace(path)
    except OSError as error:
        raise ChoreRefused(
            f"The made-up farm could not be written at {path}: {error.strerror}.",
            remedy="Name a folder you may write to with --into.",
        ) from None
    finally:
        _remove(beside)
    say(f"Wrote a made-up farm of {days} days at {path}. Everything in it is invented.")


def _remove(path: Path) -> None:
    for left in (path, *(path.with_name(path.name + end) for end in ("-wal", "-shm"))):
        left.unlink(missing_ok=True)

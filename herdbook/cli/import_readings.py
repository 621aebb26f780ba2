"""`herdbook import readings`: a logger's file into the book: shown as it was understood, then whole or not at all."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from herdbook.cli.call import Call
from herdbook.errors import ChoreRefused, Refused, SeveralRefused

if TYPE_CHECKING:
    from herdbook.chores.ground import Ground
    from herdbook.chores.logger_files import LoggerFile
    from herdbook.chores.logger_layouts import Given
    from herdbook.chores.readings import Series, Sifted

MOST_FAULTS = 20
WORDS = {
    "delimiter": ("tab", "semicolon", "bar", "comma", "blanks"),
    "decimal": ("point", "comma"),
    "date-order": ("ymd", "dmy", "mdy"),
    "unit": ("C", "F"),
}
COLUMNS = {
    "time-column": "the time",
    "date-column": "the date, where it has its own",
    "temperature-column": "the temperature",
}


def layout_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options that tell of a logger's files what they do not tell themselves."""
    for name, what in COLUMNS.items():
        command = click.option(f"--{name}", default="", metavar="NAME", help=f"heading or number of {what}")(
            command
        )
    for name, words in WORDS.items():
        choice = click.Choice(words, case_sensitive=False)
        command = click.option(f"--{name}", default=None, type=choice)(command)
    for option in (
        click.option(
            "--zone", default="", metavar="ZONE", help="of times without one; the farm's if not given"
        ),
        click.option("--profile", default="", metavar="NAME", help="read it as told under this name before"),
        click.option(
            "--probe", default="", metavar="NAME", help="which thermometer of the tank; `logger` if not given"
        ),
        click.option("--tank", default="", metavar="NAME", help="which tank; needed where there are several"),
    ):
        command = option(command)
    return command


def told(connection: Any, profile: str, probe: str, options: dict[str, Any]) -> tuple[Given, str]:
    """What is told of the files, by profile and by options, which go before it; and the probe's name.

    Raises:
        Refused: no such profile.
    """
    from dataclasses import replace

    from herdbook.chores import reading_profiles
    from herdbook.chores.logger_layouts import Given, see_zone
    from herdbook.chores.readings import PROBE, ReadingsDraft

    given, of = reading_profiles.profile(connection, profile) if profile else (Given(), "")
    given = replace(given, **{name: options[name] for name in Given.NAMES if options.get(name)})
    if given.zone:
        see_zone(given.zone)
    named = probe or of or PROBE
    ReadingsDraft.asks()["probe"].check(named)
    return given, named


def tank_named(ground: Ground, name: str) -> int:
    """The tank of that name, or the only one.

    Raises:
        ChoreRefused: there is none.
        Refused: no such tank, or several and none was named.
    """
    if name:
        return int(ground.find("tank", name, label="tank"))
    known = ground.names.get("tank", {})
    if not known:
        raise ChoreRefused(
            "There is no tank in the book yet.", remedy="Write one first: `herdbook write tank`."
        )
    if len(known) > 1:
        raise Refused("tank: which one?", remedy=f"Give --tank {' or '.join(known)}.", field="tank")
    return next(iter(known.values()))


def read_readings(
    call: Call,
    file: str,
    *,
    tank: str,
    probe: str,
    profile: str,
    save_profile: str,
    leave_out: bool,
    whole: bool,
    yes: bool,
    dry_run: bool,
    request: str,
    note: str,
    form: str,
    options: dict[str, Any],
) -> int:
    """Read a file, show it and write it; the command's own work, behind its options."""
    from herdbook.chores.logger_files import read_logger_file
    from herdbook.chores.readings import ReadingsDraft, sift
    from herdbook.cli.import_files import goes_on, nothing, write_chore

    with _file(file, call.path.parent) as (path, name), call.reading() as (connection, ground):
        number = tank_named(ground, tank)
        given, named = told(connection, profile, probe, options)
        read = read_logger_file(path, given, ground, whole=whole, name=name)
        sifted = sift(connection, number, named, read.found.series)
        if not leave_out:
            _see_faultless(read, sifted, ground)
    lines = shown(read, sifted, ground, ground.name_of("tank", number), named)
    if not len(sifted.new):
        for line in lines:
            _show(line, form)
        return nothing(f"{read.name}: the book has every reading of it already; nothing was written.", form)
    many = f"{len(sifted.new):,} reading{'' if len(sifted.new) == 1 else 's'}"
    if not goes_on(lines, many, yes=yes, dry_run=dry_run, form=form):
        return 0 if dry_run else ChoreRefused.exit_status
    draft = ReadingsDraft(tank=number, probe=named, source=read.name, file=read.file).carry(sifted.new)
    status = write_chore(call, "readings", draft, request, note, form)
    if save_profile:
        _save(call, save_profile, named, read, form)
    return status


@contextmanager
def _file(named: str, beside: Path) -> Iterator[tuple[Path, str]]:
    """A file and what it is called; standard input is laid down in one, because it is gone through more than once.

    Args:
        named: the file, or - for standard input.
        beside: the book's folder; behind the door no other may be written in.
    """
    if named != "-":
        yield Path(named), ""
        return
    from tempfile import mkstemp

    from herdbook.chores.logger_files import LARGEST_BYTES

    laid: Path | None = None
    try:
        try:
            handle, place = mkstemp(dir=beside, prefix=".farm-", suffix=".part")
            laid = Path(place)
            with os.fdopen(handle, "wb") as into:
                for part in iter(lambda: sys.stdin.buffer.read(1 << 20), b""):
                    into.write(part)
                    if into.tell() > LARGEST_BYTES:  # the reader says so
                        break
        except OSError as error:
            raise ChoreRefused(
                f"standard input could not be laid down in {beside}: {error.strerror}.",
                remedy="Make room there, or save it as a file and import that.",
            ) from None
        yield laid, "standard input"
    finally:
        if laid is not None:
            laid.unlink(missing_ok=True)


def _show(line: str, form: str) -> None:
    from herdbook.cli.call import complain, say
    from herdbook.plain import plain

    complain(line) if form == "json" else say(plain(line))


def _see_faultless(read: LoggerFile, sifted: Sifted, ground: Ground) -> None:
    """Refuse a file of which some rows cannot be, each by line and column.

    Raises:
        Refused: the first of them, and how many more there are.
    """
    faults = [
        Refused(f"{read.name}, {fault}", remedy="Give --leave-out to read the others.", field="file")
        for fault in read.found.faults[:MOST_FAULTS]
    ]
    faults += [
        Refused(
            f"{read.name}, {conflict.says(ground)}.",
            remedy=f"Strike entry {conflict.entry} if it is the wrong one, or give --leave-out to keep it.",
            field="file",
        )
        for conflict in sifted.conflicts[: MOST_FAULTS - len(faults)]
    ]
    more = len(read.found.faults) + len(sifted.conflicts) - len(faults)
    if more > 0:
        faults.append(Refused(f"{read.name}, and {more:,} lines more.", field="file"))
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise SeveralRefused(faults)


def shown(read: LoggerFile, sifted: Sifted, ground: Ground, tank: str, probe: str) -> list[str]:
    """What was understood of a file and what of it is new, a line each."""
    said = [f"{read.name}: {line}" for line in read.layout.says()]
    said += [f"look: {note}" for note in read.found.notes]
    if read.half_line:
        said.append(f"line {read.half_line} has no end yet and is left for the next time (--whole takes it)")
    if read.found.faults:
        said.append(
            f"left out: {len(read.found.faults):,} rows that cannot be, such as {read.found.faults[0]}"
        )
    if sifted.conflicts:
        kept = sifted.conflicts[0].says(ground)
        said.append(f"left out: {len(sifted.conflicts):,} that the book has otherwise, such as {kept}")
    said.append(f"{tank}, {probe}: {_span(read.found.series, ground)}")
    said.append(f"new {len(sifted.new):,}, known already {sifted.known:,}")
    return said


def _span(series: Series, ground: Ground) -> str:
    if not len(series):
        return "no reading"
    warm, at = ground.units.temperature, ground.clock.iso
    first, last = series.read_at[0], series.read_at[-1]
    ends = f"{at(first)} {warm(series.tank_mC[0])} to {at(last)} {warm(series.tank_mC[-1])}"
    return f"{len(series):,} readings, {ends}; coldest {warm(min(series.tank_mC))}, warmest {warm(max(series.tank_mC))}"


def _save(call: Call, name: str, probe: str, read: LoggerFile, form: str) -> None:
    """Keep how the file was read under a name, unless the book has it so already."""
    from herdbook.chores.reading_profiles import ProfileDraft, profile
    from herdbook.cli.import_files import write_chore

    given = read.layout.as_given()
    with call.reading() as (connection, _):
        try:
            if profile(connection, name) == (given, probe):
                return
        except Refused:
            pass
    fields: dict[str, Any] = {
        key: getattr(given, key) or None for key in ("delimiter", "decimal", "date_order", "unit")
    }
    texts: dict[str, Any] = {
        key: getattr(given, key) for key in ("zone", "time_column", "date_column", "temperature_column")
    }
    write_chore(
        call, "reading-profile", ProfileDraft(name=name, probe=probe, **fields, **texts), "", "", form
    )

"""`herdbook import`: analyses, a ration or a logger's readings from a file, shown first, then whole or not at all."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from herdbook.cli.call import Call, complain, say, say_json
from herdbook.cli.import_readings import layout_options, read_readings
from herdbook.errors import ChoreRefused, Refused

if TYPE_CHECKING:
    from herdbook.chores.drafting import ChoreDraft
    from herdbook.chores.ground import Ground
    from herdbook.chores.import_analyses import AnalysesRead
    from herdbook.chores.import_ration import RationRead
    from herdbook.chores.sheets import Sheet

MOST_SHOWN = 40


@click.group(name="import", no_args_is_help=True)
def import_files() -> None:
    """Read analyses, a ration or a logger's readings from a file.

    What will be written is shown first; a terminal is asked, elsewhere give --yes. `herdbook manual imports` tells
    what the files look like.
    """


def _options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options that every import takes."""
    for option in (
        click.option(
            "--as", "form", type=click.Choice(("text", "json")), default="text", help="how to say it"
        ),
        click.option("--note", default="", metavar="TEXT", help="free words for the entry"),
        click.option(
            "--request", default="", metavar="KEY", help="a key of your own: the same one writes once"
        ),
        click.option("--dry-run", "--preview", is_flag=True, help="only show what would be written"),
        click.option("--yes", is_flag=True, help="write without asking"),
        click.argument("file", metavar="FILE|-"),
    ):
        command = option(command)
    return command


@import_files.command()
@_options
@click.pass_obj
def analyses(call: Call, file: str, yes: bool, dry_run: bool, request: str, note: str, form: str) -> int:
    """Read analyses of feeds: one row a sample, one column a nutrient."""
    from herdbook.chores.analyses import FILE_KIND
    from herdbook.chores.import_analyses import is_known_heading, read_analyses

    sheet = _sheet(file, is_known_heading)
    with call.reading() as (connection, ground):
        if (said := _read_before(connection, FILE_KIND, sheet)) is not None:
            return nothing(said, form)
        read = read_analyses(sheet, connection, ground)
    lines = _analyses_lines(read, ground)
    if not read.rows:
        return nothing(f"{sheet.name}: every sample is in the book already; nothing was written.", form)
    many = f"{len(read.rows)} {'analysis' if len(read.rows) == 1 else 'analyses'}"
    if not goes_on(lines, many, yes=yes, dry_run=dry_run, form=form):
        return 0 if dry_run else ChoreRefused.exit_status
    return write_chore(call, "analyses", read.draft(sheet.file), request, note, form)


@import_files.command()
@_options
@click.option("--name", required=True, metavar="NAME", help="the ration; a known one gets its next version")
@click.option("--since", default="", metavar="DAY", help="from which day; today if not given")
@click.option("--feeding", default="", metavar="NUMBER", help="from which feeding of that day")
@click.option("--basis", default="", metavar="as fed|dry matter", help="of rows that do not say")
@click.option("--whole", default="", metavar="AMOUNT", help='what parts of 100 are parts of: "24 kg dm"')
@click.option("--despite", default="", metavar="TEXT", help="the reason to pass a caution")
@click.option("--again", is_flag=True, help="read a file that was read before")
@click.pass_obj
def ration(
    call: Call,
    file: str,
    yes: bool,
    dry_run: bool,
    request: str,
    note: str,
    form: str,
    name: str,
    since: str,
    feeding: str,
    basis: str,
    whole: str,
    despite: str,
    again: bool,
) -> int:
    """Read a version of a ration: one row an item, with feed, amount, unit and basis."""
    from herdbook.chores.import_ration import is_known_heading, read_ration
    from herdbook.chores.rations import FILE_KIND, RationDraft

    sheet = _sheet(file, is_known_heading)
    with call.reading() as (connection, ground):
        said = None if again else _read_before(connection, FILE_KIND, sheet)
        if said is not None:
            return nothing(f"{said} Give --again to set it once more.", form)
        asks = RationDraft.asks()
        typed = {"name": name, "since": since, "feeding": feeding, "basis": basis, "despite": despite}
        fields = {key: asks[key].understand(text, ground) for key, text in typed.items() if text.strip()}
        read = read_ration(sheet, ground, basis=fields.pop("basis", ""), whole=_whole(whole, ground))
        draft = read.draft(file=None if again else sheet.file, **fields)
        lines = _ration_lines(connection, ground, read, draft)
    if not goes_on(
        lines, f"ration {draft.name}, {len(read.items)} feeds", yes=yes, dry_run=dry_run, form=form
    ):
        return 0 if dry_run else ChoreRefused.exit_status
    return write_chore(call, "ration", draft, request, note, form)


def _sheet(file: str, is_known: Callable[[str], bool]) -> Sheet:
    """The sheet in a file, or on standard input for "-"."""
    from herdbook.chores.sheets import LARGEST_BYTES, read_sheet, sheet_of

    if file != "-":
        return read_sheet(Path(file), is_known)
    return sheet_of(sys.stdin.buffer.read(LARGEST_BYTES + 1), "standard input", is_known)


@import_files.command()
@_options
@layout_options
@click.option("--save-profile", default="", metavar="NAME", help="keep how it was read, for the next file")
@click.option("--leave-out", is_flag=True, help="leave out rows that cannot be, and read the others")
@click.option("--whole", is_flag=True, help="the file is finished: take a last line without its end")
@click.pass_obj
def readings(
    call: Call,
    /,
    file: str,
    yes: bool,
    dry_run: bool,
    request: str,
    note: str,
    form: str,
    tank: str,
    probe: str,
    profile: str,
    save_profile: str,
    leave_out: bool,
    whole: bool,
    **options: str,
) -> int:
    """Read a logger's temperatures of a tank: what can be found out is, what cannot must be told."""
    return read_readings(
        call,
        file,
        tank=tank,
        probe=probe,
        profile=profile,
        save_profile=save_profile,
        leave_out=leave_out,
        whole=whole,
        yes=yes,
        dry_run=dry_run,
        request=request,
        note=note,
        form=form,
        options=options,
    )


def _whole(text: str, ground: Ground) -> tuple[int, str] | None:
    from herdbook.chores.import_ration import AS_FED, ON_DRY
    from herdbook.chores.measures import ask_per_head, is_dm

    if not text.strip():
        return None
    return ask_per_head("whole").understand(text, ground), ON_DRY if is_dm(text) else AS_FED


def _read_before(connection: Any, kind: str, sheet: Sheet) -> str | None:
    from herdbook.book.reading.read_files import file_read_before

    before = file_read_before(connection, kind, sheet.sha256)
    if before is None:
        return None
    return f"{sheet.name} was read already: entry {before['entry']} of {before['farm_day']}. Nothing was written."


def nothing(said: str, form: str) -> int:
    """Say that there was nothing to write."""
    say_json({"entry": None, "said": said, "again": True}) if form == "json" else say(said)
    return 0


def _analyses_lines(read: AnalysesRead, ground: Ground) -> list[str]:
    """What would be written, one line a sample with its figures as the book keeps them."""
    from herdbook.chores.analyses import dry_ppm_of, kept_values
    from herdbook.chores.nutrient_asks import exactly
    from herdbook.science.nutrients import nutrients

    known, units, lines = nutrients(), ground.units, []
    for row in read.rows:
        draft = row.draft
        sampled = (draft.sampled or ground.clock.farm_day(ground.now_s)).isoformat()
        figures = ", ".join(
            f"{known[key].label} {'nd' if kept is None else exactly(kept, units.decimal)}"
            for key, kept in kept_values(draft).items()
        )
        number = f" {draft.number}" if draft.number else ""
        dry = units.number(dry_ppm_of(draft) / 10_000, 1)
        name = ground.name_of("feed", draft.feed)
        lines.append(f"line {row.line}: {name}{number}, sampled {sampled}, {dry} % dry matter: {figures}")
        lines += [f"  look: {said}" for said in row.look]
    lines += [f"line {line}: in the book already, entry {entry}" for line, entry in read.known.items()]
    return lines


def _ration_lines(connection: Any, ground: Ground, read: RationRead, draft: Any) -> list[str]:
    """What would be written, one line an item, their sum, and every caution."""
    from herdbook.chores.rations import cautions_of
    from herdbook.units import show_number

    units, lines = ground.units, []
    for one in read.items:
        part = "" if one.percent is None else f", {show_number(one.percent, 2, decimal=units.decimal)} %"
        lines.append(
            f"line {one.line}: {ground.name_of('feed', one.feed)} {units.mass(one.mg / 1000, 3)} {one.basis}{part}"
        )
    if read.percent_sum is not None:
        lines.append(f"parts as printed make {show_number(read.percent_sum, 2, decimal=units.decimal)} %")
    for basis in dict.fromkeys(one.basis for one in read.items):
        grams = sum(one.mg for one in read.items if one.basis == basis) / 1000
        lines.append(f"together {units.mass(grams, 2)} {basis} a head and day")
    found = cautions_of(connection, ground, draft)
    return [*lines, *(f"{'caution' if one.hard else 'look'}: {one.says}" for one in found)]


def goes_on(lines: Sequence[str], what: str, *, yes: bool, dry_run: bool, form: str) -> bool:
    """Show what would be written; whether it is to be written."""
    from herdbook.plain import plain

    def show(*shown: str) -> None:
        for line in shown:
            complain(line) if form == "json" else say(plain(line))

    show(*lines[:MOST_SHOWN])
    if len(lines) > MOST_SHOWN:
        show(f"... and {len(lines) - MOST_SHOWN} lines more")
    if dry_run:
        show(f"Would write {what}; nothing was written.")
        return False
    if yes:
        return True
    if sys.stdin.isatty() and sys.stdout.isatty():
        if click.confirm(f"Write {what}?"):
            return True
        say("Nothing was written.")
        return False
    complain(f"Nothing was written: {what}.", "Give --yes to write without being asked.")
    return False


def write_chore(call: Call, name: str, draft: ChoreDraft, request: str, note: str, form: str) -> int:
    """Write a draft as the person at the keyboard, and say what was written."""
    from herdbook.book.writing import Book
    from herdbook.chores.doing import find_chore
    from herdbook.cli.who import as_who, person_at
    from herdbook.cli.write import as_json, check_request

    chore = find_chore(name)
    with call.reading() as (connection, _):
        person = person_at(call, connection)
    if len(note) > 500:
        raise Refused("--note: longer than 500 letters.", remedy="Say it shorter.", field="note")
    book = Book(call.path, waiting=lambda: complain("Someone else is writing in the book; waiting ..."))
    try:
        written = chore(
            book, draft, by=as_who(person), now=call.clock, request=check_request(request), note=note
        )
    finally:
        book.close()
    if form == "json":
        say_json(as_json(chore, written))
    else:
        say(written.said)
        say(f"entry {written.entry}")
    return 0

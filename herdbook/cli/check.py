"""`herdbook check`: verify the book; 0 clean, 1 findings, 2 not a book."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import click

from herdbook.cli.call import Call, say_json

if TYPE_CHECKING:
    from herdbook.book.checks import Checked, Finding
    from herdbook.book.sealing import Seal

SEAL = 12
"""So many letters of the last hash are enough to write down and compare later."""

MOST_ENTRIES = 12


@click.command()
@click.option(
    "--against",
    multiple=True,
    metavar="SEAL",
    help="a seal written down before: shows whether anything up to it was changed since; may be repeated",
)
@click.option("--as", "form", type=click.Choice(("text", "json")), default="text", help="text or JSON")
@click.pass_obj
def check(call: Call, against: tuple[str, ...], form: str) -> int:
    """Verify the book without writing to it.

    Looks at the file itself, at the guards that keep the past from being changed, at the chain of entries, and at
    what the entries say together. Exit status 0 when clean, 1 with findings, 2 when it is not a book.
    """
    from herdbook.book.checks import check_book
    from herdbook.book.sealing import read_seal

    seals = [read_seal(text) for text in against]
    checked = check_book(call.path, call.now_s(), seals)
    broken = {finding.about for finding in checked.findings if finding.part == "seal"}
    holding = [seal for seal in seals if checked.head and seal.name not in broken]
    if form == "json":
        say_json(
            {
                "book": str(call.path),
                "entries": checked.entries,
                "head": checked.head,
                "clean": not checked.findings,
                "findings": [_as_json(finding) for finding in checked.findings],
                "seals": [{"seal": seal.text, "holds": seal in holding} for seal in seals],
            }
        )
    else:
        from herdbook.cli.printing import print_lines

        print_lines(_lines(call, checked, holding))
    return 1 if checked.findings else 0


def _lines(call: Call, checked: Checked, holding: list[Seal]) -> Iterator[str]:
    for finding in checked.findings:
        yield f"! {in_words(finding)}"
    if checked.findings:
        yield ""
    sealed = f", sealed {checked.head[:SEAL]}" if checked.head else ""
    yield f"{call.path}: {checked.entries} entries{sealed}."
    for seal in holding:
        yield f"The {seal.name} holds: nothing up to entry {seal.number} was changed since."
    count = len(checked.findings)
    yield (
        "The file, its guards, the chain and the rules of the book: nothing found."
        if not count
        else (f"{count} finding{'s' if count > 1 else ''}.")
    )


def in_words(finding: Finding) -> str:
    """One finding on one line."""
    from herdbook.plain import plain

    day = f", {finding.farm_day}" if finding.farm_day else ""
    numbers = [str(number) for number in finding.entries[:MOST_ENTRIES]]
    more = len(finding.entries) - len(numbers)
    numbers += [f"{more} more"] if more > 0 else []
    word = "entry" if len(finding.entries) == 1 else "entries"
    about = finding.about
    where = "" if not numbers or about == f"entry {numbers[0]}" else f" ({word} {', '.join(numbers)})"
    return plain(f"{about}{day}: {finding.says}{where}")


def _as_json(finding: Finding) -> dict[str, object]:
    return {
        "part": finding.part,
        "about": finding.about,
        "says": finding.says,
        "entries": list(finding.entries),
        "farm_day": finding.farm_day or None,
    }

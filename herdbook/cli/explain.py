"""`herdbook explain`: where one figure of a report comes from, in the same words as the = key shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import click

from herdbook.chores.ground import Ground
from herdbook.cli.call import Call, say_json
from herdbook.cli.lazy import LazyGroup
from herdbook.cli.show import report_options
from herdbook.errors import Refused
from herdbook.reports.catalogue import SPECS, Spec, make, split_words
from herdbook.reports.figures import Column, Figure, Report


class Explanations(LazyGroup):
    """One command for each report of the catalogue."""

    def lines(self) -> Mapping[str, str]:
        return {name: spec.title for name, spec in SPECS.items()}

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        spec = SPECS.get(cmd_name)
        return None if spec is None else _command(spec)


@click.group(cls=Explanations, no_args_is_help=True)
def explain() -> None:
    """Tell where a figure of a report comes from.

    A figure is named by its key; in a table by the row and the column: `herdbook explain intake High dm_eaten_kg`.
    """


def _command(spec: Spec) -> click.Command:
    lead = f"{spec.position.upper()} " if spec.position else ""
    parameters: list[click.Parameter] = [
        click.Argument(["words"], nargs=-1, required=True, metavar=f"{lead}FIGURE..."),
        *report_options(spec),
        click.Option(
            ["--as", "form"], type=click.Choice(("text", "json")), default="text", help="text or JSON"
        ),
    ]

    @click.pass_obj
    def run(call: Call, /, words: tuple[str, ...], form: str, **options: str | tuple[str, ...]) -> None:
        from herdbook.reports.explaining import explain as explained
        from herdbook.reports.explaining import said_in
        from herdbook.reports.exporting import value_of

        with call.reading() as (connection, ground):
            report, address = _report(spec, words, options, connection, ground)
            label, figure = _find(report, address)
            column = column_of(report, figure)
            made = explained(label, figure, ground, said_in(connection), column=column)
            value = value_of(figure, column, ground)
        if form == "json":
            parts = {part.heading: [line for _, line in part.lines] for part in made.parts}
            say_json(
                {
                    "report": report.key,
                    "figure": label,
                    "value": value,
                    "unit": figure.unit,
                    "rule": figure.rule,
                    "missing": list(figure.missing),
                    "entries": list(made.entries),
                    "text": {made.title: parts},
                }
            )
            return
        from herdbook.cli.printing import print_lines

        print_lines(made.lines())

    return click.Command(
        spec.name, params=parameters, callback=run, help=f"Explain a figure of: {spec.title}."
    )


def _report(
    spec: Spec,
    words: Sequence[str],
    options: Mapping[str, str | tuple[str, ...]],
    connection: Any,
    ground: Ground,
) -> tuple[Report, list[str]]:
    """The report, and the words that are left for the figure.

    Where the name may be left out, words of which the first names nothing are all meant for the figure.
    """
    named, address = split_words(spec.name, words)
    if named and not address and spec.position not in spec.needed:
        named, address = {}, list(words)
    try:
        return make(spec.name, connection, ground, {**options, **named}), address
    except Refused:
        if not named or spec.position in spec.needed:
            raise
        return make(spec.name, connection, ground, options), list(words)


def _find(report: Report, address: Sequence[str]) -> tuple[str, Figure]:
    """The figure that words name; one word that is a single figure's key means it, whatever tables hold."""
    if len(address) == 1 and (fact := address[0].lower()) in report.facts:
        return report.columns[fact].label, report.facts[fact]
    return report.find(address)


def column_of(report: Report, figure: Figure) -> Column | None:
    """The column a figure stands in."""
    for key, fact in report.facts.items():
        if fact is figure:
            return report.columns.get(key)
    for table in report.tables:
        for line in table.lines:
            for column in table.columns:
                if line.cells.get(column.key) is figure:
                    return column
    return None

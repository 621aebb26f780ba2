"""`herdbook show`: any report as a table, JSON or CSV; its options come from the catalogue of reports."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import click

from herdbook.book.reading import farm as read_farm
from herdbook.chores.ground import Ground
from herdbook.chores.repeated import Several
from herdbook.cli.call import Call, say_json
from herdbook.cli.lazy import LazyGroup
from herdbook.errors import Refused
from herdbook.reports.catalogue import SPECS, Spec, make
from herdbook.reports.figures import Report, Table

FORMS = ("table", "json", "csv")


class Reports(LazyGroup):
    """One command for each report of the catalogue."""

    def lines(self) -> Mapping[str, str]:
        return {name: spec.title for name, spec in SPECS.items()}

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        spec = SPECS.get(cmd_name)
        return None if spec is None else _command(spec)


@click.group(cls=Reports, no_args_is_help=True)
def show() -> None:
    """Show a report as a table, JSON or CSV."""


def report_options(spec: Spec) -> list[click.Parameter]:
    """The options of a report, from what it can be asked with; the one a bare word fills is left out."""
    return [
        click.Option([f"--{option}"], multiple=True, metavar="TEXT", help=f"{ask.help}; repeated")
        if isinstance(ask, Several)
        else click.Option([f"--{option}"], default="", metavar="TEXT", help=ask.help)
        for option, ask in spec.options.items()
        if option != spec.position
    ]


def _command(spec: Spec) -> click.Command:
    parameters: list[click.Parameter] = []
    if spec.position:
        parameters.append(
            click.Argument(
                [spec.position], required=spec.position in spec.needed, nargs=-1, metavar=_metavar(spec)
            )
        )
    parameters += report_options(spec)
    parameters += [
        click.Option(
            ["--as", "form"],
            type=click.Choice(FORMS),
            default="table",
            help="a table, a JSON object, or CSV of one table",
        ),
        click.Option(["--table"], default="", metavar="KEY", help="only that table of the report"),
    ]

    @click.pass_obj
    def run(call: Call, /, form: str, table: str, **given: str | tuple[str, ...]) -> int:
        texts = dict(given)
        if spec.position:
            texts[spec.position] = " ".join(given[spec.position])
        with call.reading() as (connection, ground):
            report = make(spec.name, connection, ground, texts)
            farm = read_farm.farm(connection)
        whose = {"name": farm.name, "key": farm.farm_key, "invented": farm.invented}
        give(report, ground, form, table, whose)
        return report.status

    return click.Command(
        spec.name,
        params=parameters,
        callback=run,
        help=f"{spec.title[:1].upper()}{spec.title[1:]}.",
    )


def _metavar(spec: Spec) -> str:
    word = spec.position.upper()
    return word if spec.position in spec.needed else f"[{word}]"


def give(report: Report, ground: Ground, form: str, table: str, farm: Mapping[str, Any]) -> None:
    """Put a report on standard output in the form asked for."""
    only = find_table(report, table) if table else None
    if form == "json":
        from herdbook.reports.exporting import as_json

        made = as_json(report, ground, farm=farm)
        if only is not None:
            made["tables"] = {only.key: made["tables"][only.key]}
        say_json(made)
    elif form == "csv":
        from herdbook.reports.exporting import csv_rows, csv_text, facts_rows

        main = only or (report.tables[0] if report.tables else None)
        rows = facts_rows(report, ground) if main is None else csv_rows(main, ground)
        click.echo(csv_text(rows), nl=False)
    else:
        from herdbook.cli.printing import print_report

        print_report(report, ground, only=only, invented=bool(farm["invented"]))


def find_table(report: Report, key: str) -> Table:
    """The table of that key.

    Raises:
        Refused: the report has no such table; the sentence names those it has.
    """
    for table in report.tables:
        if table.key == key:
            return table
    known = ", ".join(table.key for table in report.tables) or "none"
    raise Refused(
        f"The report {report.key} has no table called {key!r}.", remedy=f"It has {known}.", field="table"
    )

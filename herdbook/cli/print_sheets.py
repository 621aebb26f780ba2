"""`herdbook print`: sheets for the wall and records for the inspector, as text for any printer or one HTML file."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from herdbook.cli.call import Call, say, say_json

if TYPE_CHECKING:
    from herdbook.book.reading.farm import Farm
    from herdbook.chores.ground import Ground


@click.group("print", no_args_is_help=True)
def print_sheets() -> None:
    """Print sheets for the wall (`herdbook enter` takes them back filled in), and records."""


@print_sheets.command("loads")
@click.option("--feeding", type=click.IntRange(1, 12), metavar="NUMBER", help="only this feeding of the day")
@click.option("--of", "of", default="", metavar="DAY", help="the day; today if not given")
@click.option(
    "--as",
    "form",
    type=click.Choice(("text", "html", "json")),
    default="text",
    help="text of 80 columns, one HTML file, or JSON to be filled in",
)
@click.pass_obj
def loads(call: Call, feeding: int | None, of: str, form: str) -> None:
    """Print the loads of a day, with blanks for the scale, drops, refusals and times."""
    from herdbook.book.reading import farm as read_farm
    from herdbook.chores.day_plan import plan_day
    from herdbook.chores.moments import Day
    from herdbook.reports.loads_on_paper import as_fields, as_html, as_text, sheet_of

    with call.reading() as (connection, ground):
        day = Day(label="of", ahead_days=14).understand(of, ground)
        plan = plan_day(connection, ground, day)
        if form == "json":
            say_json({"loads": as_fields(plan, ground, feeding), "refusals": []})
            return
        farm = read_farm.farm(connection)
        sheet = sheet_of(connection, ground, plan, farm=farm.name, invented=farm.invented, feeding=feeding)
    say((as_text if form == "text" else as_html)(sheet).rstrip("\n"))


FORM = click.option(
    "--as",
    "form",
    type=click.Choice(("text", "html")),
    default="text",
    help="text of 80 columns, or one HTML file",
)


@print_sheets.command("treatments")
@click.option(
    "--of", "of", default="", metavar="A..B", help="days of the last dose; the last sixty if not given"
)
@click.option("--cow", default="", metavar="NUMBER", help="only this cow")
@FORM
@click.pass_obj
def treatments(call: Call, of: str, cow: str, form: str) -> None:
    """Print the treatment record for the veterinarian, the inspector or the buyer."""
    from herdbook.book.reading import farm as read_farm
    from herdbook.reports.cards_on_paper import as_html, as_text
    from herdbook.reports.catalogue import make
    from herdbook.reports.treatments import KEEP

    with call.reading() as (connection, ground):
        report = make("treatments", connection, ground, {"of": of, "cow": cow})
        head = _head(read_farm.farm(connection), ground) + f" {' '.join(report.warnings)}"
    write = as_text if form == "text" else as_html
    say(write(report, report.table("treatments"), ground, head=head, foot=KEEP).rstrip("\n"))


@print_sheets.command("temperature-record")
@click.option("--tank", default="", metavar="TANK", help="which tank; needed where there are several")
@click.option("--of", "of", default="", metavar="A..B", help="farm days; the last seven if not given")
@FORM
@click.pass_obj
def temperature_record(call: Call, tank: str, of: str, form: str) -> None:
    """Print a tank's temperatures for the inspector: drawn, with gaps, corrections and sources, and every reading."""
    from herdbook.book.reading import farm as read_farm
    from herdbook.reports.catalogue import make

    with call.reading() as (connection, ground):
        report = make("temperature-record", connection, ground, {"tank": tank, "of": of})
        head = _head(read_farm.farm(connection), ground)
    if form == "html":
        from herdbook.reports.temperature_paper import as_html

        say(as_html(report, ground, head=head).rstrip("\n"))
        return
    from herdbook.cli.printing import print_lines, print_report
    from herdbook.cli.record_curve import curves

    print_lines([head])
    for line in curves(report.data, ground):
        say(line)
    print_report(report, ground)


def _head(farm: Farm, ground: Ground) -> str:
    """Whose sheet it is, when it was printed, and in which zone its times are."""
    from herdbook.plain import plain

    mark = " (made-up farm)" if farm.invented else ""
    at = f"{ground.clock.local(ground.now_s):%Y-%m-%d %H:%M}"
    return f"{plain(farm.name)}{mark}. Printed {at}, times of {farm.clock.zone_name}."

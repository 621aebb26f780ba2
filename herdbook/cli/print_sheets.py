"""`herdbook print`: sheets for the wall, as text for any printer or as one HTML file."""

from __future__ import annotations

import click

from herdbook.cli.call import Call, say, say_json


@click.group("print", no_args_is_help=True)
def print_sheets() -> None:
    """Print sheets for the wall; `herdbook enter` takes them back filled in."""


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

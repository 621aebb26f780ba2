"""`herdbook people`: who may write or look."""

from __future__ import annotations

import click

from herdbook.cli.call import Call, say
from herdbook.cli.people_key import key


@click.group(no_args_is_help=True)
def people() -> None:
    """List who may write or look, add someone, or make the line that lets their key in."""


@people.command("list")
@click.option(
    "--as", "form", type=click.Choice(("table", "json", "csv")), default="table", help="a table, JSON or CSV"
)
@click.pass_obj
def list_people(call: Call, form: str) -> None:
    """List who may write or look; the same as `herdbook show people`."""
    from herdbook.book.reading import farm as read_farm
    from herdbook.cli.show import give
    from herdbook.reports.catalogue import make

    with call.reading() as (connection, ground):
        report = make("people", connection, ground, {})
        farm = read_farm.farm(connection)
    give(report, ground, form, "", {"name": farm.name, "key": farm.farm_key, "invented": farm.invented})


@people.command("add")
@click.argument("name")
@click.option(
    "--role",
    "roles",
    multiple=True,
    required=True,
    metavar="ROLE",
    help="owner, nutritionist, hand or reader; repeat for several",
)
@click.option("--login", default="", metavar="LOGIN", help="their login name on this computer")
@click.option(
    "--request", default="", metavar="KEY", help="a key of your own: the same one again writes nothing twice"
)
@click.pass_obj
def add_person(call: Call, name: str, roles: tuple[str, ...], login: str, request: str) -> None:
    """Add someone who may write or look; the owner does this."""
    from herdbook.chores.doing import find_chore
    from herdbook.cli.write import Options, check_request, write_one

    given = {"name": name, "roles": list(roles), "login": login}
    written = write_one(call, find_chore("person"), given, Options(request=check_request(request)))
    say(written.said)
    say(f"entry {written.entry}")


people.add_command(key)

"""`herdbook strike`: strike out an entry; it stays readable and counts no more."""

from __future__ import annotations

import click

from herdbook.cli.call import Call, say, say_json


@click.command()
@click.argument("entry", type=int)
@click.option("--because", default="", metavar="TEXT", help="why")
@click.option(
    "--request", default="", metavar="KEY", help="a key of your own: the same one again writes nothing twice"
)
@click.option(
    "--as", "form", type=click.Choice(("text", "json")), default="text", help="how to say what was written"
)
@click.pass_obj
def strike(call: Call, entry: int, because: str, request: str, form: str) -> None:
    """Strike out an entry; it stays readable and counts no more.

    To put another in its place, use `herdbook write CHORE --corrects ENTRY`.
    """
    from herdbook.chores.doing import find_chore
    from herdbook.cli.write import Options, as_json, check_request, write_one

    chore = find_chore("strike")
    given = {"entry": str(entry), **({"because": because} if because else {})}
    written = write_one(call, chore, given, Options(request=check_request(request)))
    if form == "json":
        say_json(as_json(chore, written))
    else:
        say(written.said)
        say(f"entry {written.entry}")

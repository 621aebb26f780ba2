"""`herdbook seal`: print a short figure that holds all that is written, for paper, mail or telephone."""

from __future__ import annotations

import click

from herdbook.cli.call import Call, say, say_json


@click.command()
@click.option("--as", "form", type=click.Choice(("text", "json")), default="text", help="text or JSON")
@click.pass_obj
def seal(call: Call, form: str) -> None:
    """Print a seal: the day, the last entry, and its hash in groups that can be read over the telephone.

    Keep it outside this computer: on paper, in a mail to someone. Later `herdbook check --against SEAL` shows
    whether anything up to that entry was changed since.
    """
    from herdbook.book.opening import reading
    from herdbook.book.reading.farm import farm
    from herdbook.book.sealing import seal_book

    with reading(call.path) as connection:
        its_farm = farm(connection)
    made, head = seal_book(call.path, its_farm.clock.farm_day(call.now_s()).isoformat())
    if form == "json":
        say_json({"seal": made.text, "farm_day": made.farm_day, "entries": made.number, "head": head})
        return
    from herdbook.plain import plain

    say(made.text)
    say(plain(f"{its_farm.name}: {made.number} entries, sealed on {made.farm_day}."))
    say("Keep the first line on paper or mail it; `herdbook check --against` takes it back, in quotes.")

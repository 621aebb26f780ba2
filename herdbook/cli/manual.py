"""`herdbook manual`: the topics, or one of them."""

from __future__ import annotations

import click

from herdbook.cli.call import say
from herdbook.reports.manual_pages import TOPICS, heading_of, page


@click.command()
@click.argument("topic", required=False, default="")
def manual(topic: str) -> None:
    """Read the manual: the list of topics, or one of them."""
    if not topic:
        wide = max(map(len, TOPICS))
        for name in TOPICS:
            say(f"{name:{wide}}  {heading_of(name)}")
        say("\nherdbook manual TOPIC reads one.")
        return
    from herdbook.cli.markdown import Page
    from herdbook.cli.printing import put

    put([Page(read(topic))])


def read(topic: str) -> str:
    """A page with every gap filled, those of the command line and the screens too.

    Raises:
        Refused: there is no such topic.
    """
    return page(topic, {"commands": _commands, "keys": _keys})


def _commands() -> str:
    from herdbook.cli.main import COMMANDS

    lines = ["| command | what it does |", "|---|---|", "| `herdbook` | open the screens on the book |"]
    lines += [f"| `herdbook {name}` | {line} |" for name, (_, line) in COMMANDS.items()]
    return "\n".join(lines)


def _keys() -> str:
    from herdbook.screens.keys import EVERYWHERE, MOVES, PLACES

    lines = ["| key | what it does |", "|---|---|"]
    lines += [f"| {place.press.upper()} | {place.title}: {place.says} |" for place in PLACES]
    lines += [f"| {key.label} | {key.says} |" for key in (*EVERYWHERE, *MOVES)]
    return "\n".join(lines)

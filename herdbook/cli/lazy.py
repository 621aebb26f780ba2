"""A group of commands that imports only the one that is asked for."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any

import click


class LazyGroup(click.Group):
    """A click group whose commands are named by `module:attribute` and a line of help.

    Args:
        lazy: command -> (where it is, its line in the list), in the order they are listed.
    """

    def __init__(self, *args: Any, lazy: Mapping[str, tuple[str, str]] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lazy = dict(lazy or {})

    def lines(self) -> Mapping[str, str]:
        """Command -> its line in the list; asked for only when a list is wanted."""
        return {name: line for name, (_, line) in self.lazy.items()}

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.lines())

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in self.lazy:
            return None
        module, _, attribute = self.lazy[cmd_name][0].partition(":")
        command: click.Command = getattr(import_module(module), attribute)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if not args[0].startswith("-") and self.get_command(ctx, args[0]) is None:
            raise click.UsageError(no_such(args[0], "command", self.list_commands(ctx)), ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(self.lines().items()))


def no_such(word: str, kind: str, known: list[str]) -> str:
    """The sentence for a word that is not one of the known ones, with the nearest."""
    from difflib import get_close_matches

    near = get_close_matches(word, known, 1, 0.5)
    hint = f"Did you mean {near[0]}?" if near else f"Known: {', '.join(known)}."
    return f"There is no {kind} called {word!r}. {hint}"

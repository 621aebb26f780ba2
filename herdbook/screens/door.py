"""Shuts every way out of the screens that the framework offers: files, programs, web pages, other screens.

The same in every session, not only behind a forced login: a farm's book is no place to be surprised by one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO, NoReturn, TextIO

from textual.app import App, SystemCommand
from textual.screen import Screen

# What keys may start on the program itself. Everything else named action_* is refused by `check_action`.
APP_ACTIONS = frozenset(
    {
        *("go", "all_keys", "places", "back", "leave", "redraw", "how_to_leave"),
        *("write", "why", "temperature", "note", "alarms", "correct", "find", "reports"),
        *("focus_next", "focus_previous"),
    }
)
# What keys may start on a place, besides the keys it lists itself.
PLACE_ACTIONS = frozenset({"focus_next", "focus_previous"})


class ShutError(RuntimeError):
    """Something tried a way out that is shut."""


class ShutDoor(App[int], inherit_bindings=False):
    """The framework's application without its ways out."""

    ENABLE_COMMAND_PALETTE = False
    COMMANDS = set()
    ALLOW_SELECT = False

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Let through only what is on the list."""
        return action in APP_ACTIONS

    async def _broker_event(self, event_name: str, event: Any, default_namespace: Any) -> bool:
        """Text never starts an action, whatever style it carries."""
        return False

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """No palette, so no commands in it."""
        return ()

    def action_command_palette(self) -> None:
        """Shut: the palette offers files and themes."""

    def search_commands(self, *_: Any, **__: Any) -> NoReturn:
        """Shut: a palette of whatever commands."""
        raise ShutError("commands")

    def search_themes(self) -> None:
        """Shut: the colours are chosen by the terminal and the settings."""

    def action_change_theme(self) -> None:
        """Shut, as above."""

    @contextmanager
    def suspend(self) -> Iterator[None]:
        """Shut: a suspended program leaves a shell behind."""
        raise ShutError("suspend")
        yield

    def action_suspend_process(self) -> None:
        """Shut, as above."""

    def action_screenshot(self, filename: str | None = None, path: str | None = None) -> None:
        """Shut: a picture is a file anywhere."""

    def save_screenshot(self, *_: Any, **__: Any) -> NoReturn:
        """Shut, as above."""
        raise ShutError("save_screenshot")

    def deliver_screenshot(self, *_: Any, **__: Any) -> NoReturn:
        """Shut, as above."""
        raise ShutError("deliver_screenshot")

    def deliver_text(self, path_or_file: str | Path | TextIO, **_: Any) -> NoReturn:
        """Shut: exports go through the reports, to one folder."""
        raise ShutError("deliver_text")

    def deliver_binary(self, path_or_file: str | Path | BinaryIO, **_: Any) -> NoReturn:
        """Shut, as above."""
        raise ShutError("deliver_binary")

    def open_url(self, url: str, *, new_tab: bool = True) -> None:
        """Shut: a browser is a program chosen by the environment."""

    def copy_to_clipboard(self, text: str) -> None:
        """Keep a cut text for pasting within the program; the terminal's own clipboard is not touched."""
        self._clipboard = text

    def action_help_quit(self) -> None:
        """Shut: says nothing of its own."""

    async def action_simulate_key(self, key: str) -> None:
        """Shut: nobody types but people."""

    async def action_push_screen(self, screen: str) -> None:
        """Shut: places are reached by their keys."""

    async def action_switch_screen(self, screen: str) -> None:
        """Shut, as above."""

    async def action_pop_screen(self) -> None:
        """Shut, as above."""

    async def action_switch_mode(self, mode: str) -> None:
        """Shut, as above."""

"""The program on a made-up farm's book, for one person, with a clock that stands until the test moves it."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any

from textual import events
from textual.pilot import Pilot

from herdbook.chores.doing import Who
from herdbook.screens.app import HerdbookApp
from herdbook.screens.at_the_book import opening_of
from herdbook.screens.book_place import BookPlace
from herdbook.screens.desk import Desk
from herdbook.settings import Settings
from tests.waiting import rows, text, until
from tests.yard import ADA, Yard

HOME, SMALL, LARGE = (80, 24), (60, 20), (120, 40)
NOBODY = Who(0, "looking only", frozenset())


def program(yard: Yard, who: Who = ADA, **settings: Any) -> HerdbookApp:
    """The screens for one person at the yard's book; the clock is the yard's."""
    desk = Desk(yard.path, who.person, who.name, who.roles, yard.now)
    return HerdbookApp(opening_of(desk, Settings(**settings)), {"TERM": "xterm-256color"})


async def shown(pilot: Pilot[Any], words: str, what: str = "") -> None:
    """Wait until the screen shows these words."""
    try:
        await until(pilot, lambda: words in text(pilot.app), words, within_s=8)
    except AssertionError as error:
        raise AssertionError(f"{error} {what}\n{text(pilot.app)}") from None


async def go(pilot: Pilot[Any], place: str) -> BookPlace:
    """Go to a place by its function key and wait until it shows what it read."""
    key = {"today": "f2", "feeding": "f3", "milk": "f4", "ration": "f5", "week": "f7"}[place]
    await pilot.press(key)
    await until(pilot, lambda: pilot.app.screen.id == place, place)
    await settled(pilot)
    return pilot.app.screen


@asynccontextmanager
async def seated(
    app: HerdbookApp, place: str, size: tuple[int, int] = HOME
) -> AsyncIterator[tuple[Pilot[Any], Any]]:
    """Sit down at the program and go to a place, which is read and takes keys."""
    async with app.run_test(size=size) as pilot:
        await settled(pilot)
        yield pilot, await go(pilot, place)


async def settled(pilot: Pilot[Any]) -> None:
    """Wait until the place has shown what it read and takes keys."""
    await until(pilot, lambda: pilot.app.screen.ground is not None, "the place to be shown")
    await until(pilot, lambda: not pilot.app.screen.holds_keys, "the place to take keys")
    await pilot.pause()


async def type_in(pilot: Pilot[Any], *words: str) -> None:
    """Type words letter by letter, each followed by Enter; an empty word is Enter alone."""
    for word in words:
        await pilot.press(*[_KEYS.get(letter, letter) for letter in word], "enter")


async def write_it(pilot: Pilot[Any]) -> str:
    """Write the slip as it stands; give what is said to be written."""
    await pilot.press("ctrl+s")
    await shown(pilot, "Written:")
    await settled(pilot)
    return said(pilot)


def said(pilot: Pilot[Any]) -> str:
    """The say line."""
    return rows(pilot.app)[-2].strip()


def in_a_bunch(app: HerdbookApp, *keys: str) -> None:
    """Send keys as they come over a slow line: all at once."""
    for key in keys:
        app.post_message(events.Key(key, key if len(key) == 1 else None))


_KEYS = {" ": "space", ".": "full_stop", ",": "comma", "-": "minus", "/": "slash"}

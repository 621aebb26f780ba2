"""The screens opened on a book: who is there, how it is read and written, and what T and N write from anywhere."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from herdbook.clock import Now, utc_now
from herdbook.screens.start import start

if TYPE_CHECKING:
    from herdbook.screens.desk import Desk, Look
    from herdbook.screens.opening import Opening
    from herdbook.screens.place import Place
    from herdbook.screens.tank_strip import TankStrip
    from herdbook.settings import Settings

FIRST_PLACES = {"owner": "today", "hand": "today", "nutritionist": "ration", "reader": "week"}
REST_S = 600.0
"""A terminal nobody touches for this long shows Today again; what was typed stays where it was typed."""


def open_book(
    path: Path,
    *,
    person: int,
    name: str,
    roles: frozenset[str],
    settings: Settings,
    now: Now = utc_now,
    forced: bool = False,
) -> int:
    """Show the screens on a book until they are left; return the exit status.

    Args:
        path: the book's file, known to be a book.
        person: who is at the keyboard; 0 for someone who only looks.
        name: their name.
        roles: what they may do; none for someone who only looks.
        settings: this computer's settings.
        now: the clock.
        forced: the person came in by a forced command.
    """

    def make_opening() -> Opening:
        from herdbook.screens.desk import Desk
        from herdbook.settings import copies_watched

        return opening_of(Desk(path, person, name, roles, now, copies_watched(settings, path)), settings)

    return start(make_opening, forced=forced)


def opening_of(desk: Desk, settings: Settings) -> Opening:
    """What the program is opened with for one person at one book."""
    from herdbook.screens.opening import Opening

    first_place = _first(desk)
    return Opening(
        open_data=desk.open_look,
        first_strip=_first_strip,
        load_strip=_strip,
        version=_version,
        keep_drafts=_keeper(desk) if desk.person else None,
        drafts=_drafts(desk),
        slips={"temperature": _slip_of("temperature"), "note": _slip_of("note"), "alarms": _alarms},
        first=first_place,
        light=settings.look == "day",
        bell=settings.bell,
        signs="plain" if settings.signs == "plain" else "",
        rest_after_s=REST_S if first_place == "today" else None,
        crash_log=desk.path.with_name("herdbook-fault.log"),
        extra=desk,
    )


def _first(desk: Desk) -> str:
    for role in ("owner", "hand", "nutritionist", "reader"):
        if role in desk.roles:
            return FIRST_PLACES[role]
    return "today"


def _first_strip(look: Look) -> TankStrip:
    """The tank alone: it is what people look at first, and it needs the least of the book."""
    from herdbook.book.reading import milk as read_milk
    from herdbook.reports.cooling import tank_state
    from herdbook.screens.strip import strip_of_tanks

    with look.at_a_glance() as (connection, ground):
        tanks = [tank_state(connection, tank, ground.now_s) for tank in read_milk.tanks(connection)]
        return strip_of_tanks(tanks, ground)


def _strip(look: Look) -> TankStrip:
    from herdbook.reports import today
    from herdbook.screens.alarm_banner import banner_of
    from herdbook.screens.strip import strip_of

    with look.at_once() as (connection, ground):
        strip = strip_of(today.make(connection, ground).data, ground)
        strip = replace(strip, alarms=banner_of(connection, ground))
    look.desk.get_ready_to_write()
    return strip


def _version(look: Look) -> int:
    """Changes when somebody writes, and when the watcher falls silent or is back."""
    from herdbook.book.heartbeat import is_silent, last_beat

    return look.version() * 2 + is_silent(last_beat(look.desk.path), look.desk.now_s)


def _keeper(desk: Desk) -> Any:
    def keep(drafts: dict[str, dict[str, str]]) -> None:
        from herdbook.book.drafts import keep_drafts

        keep_drafts(desk.path, desk.person, drafts, saved_ms=int(time.time() * 1000))

    return keep


def _drafts(desk: Desk) -> Mapping[str, Mapping[str, str]]:
    from herdbook.book.drafts import drafts_of, written_of
    from herdbook.screens.unfinished import Unfinished

    if not desk.person:
        return {}
    kept = {form: Unfinished.from_draft(texts) for form, texts in drafts_of(desk.path, desk.person).items()}
    written = written_of(desk.path, {request for one in kept.values() for request in one.requests})
    return {form: draft for form, one in kept.items() if (draft := one.without(written).as_draft())}


def _slip_of(chore: str) -> Any:
    def make(place: Place) -> None:
        from herdbook.screens.book_place import BookPlace

        cast(BookPlace, place).open_chore(chore)

    return make


def _alarms(place: Place) -> None:
    from herdbook.screens.alarm_sheet import open_alarms
    from herdbook.screens.book_place import BookPlace

    open_alarms(cast(BookPlace, place))

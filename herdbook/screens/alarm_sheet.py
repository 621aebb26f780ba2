"""The list of alarms over any place, and looking after one with Enter."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import TYPE_CHECKING

from rich.text import Text

from herdbook.plain import plain
from herdbook.screens.parts.lines import pieces

if TYPE_CHECKING:
    from herdbook.book.reading.alarms import AlarmRow
    from herdbook.chores.ground import Ground
    from herdbook.clock import FarmClock
    from herdbook.screens.book_place import BookPlace

CLEARED_LATELY_DAYS = 2


def open_alarms(place: BookPlace) -> None:
    """Cover the body with the alarms; those that wait can be chosen, where the person may look after them."""
    from herdbook.book.opening import reading
    from herdbook.reports import alarms
    from herdbook.reports.catalogue import ground_for_reading

    desk = place.desk
    with reading(desk.path) as connection:
        ground = ground_for_reading(connection, desk.now_s)
        report = alarms.make(connection, ground, days=CLEARED_LATELY_DAYS)
    standing: tuple[AlarmRow, ...] = report.data[0]
    waits = [one for one in standing if one.state == "waits"]
    may = desk.may(frozenset({"hand"}))
    over = [one for one in standing if one.kind == "other" and one.state == "acknowledged"]
    choices = [
        *((f"Look after {_named(one)}", _writes(place, "acknowledge", one, ground.clock)) for one in waits),
        *((f"It is over, {_named(one)}", _writes(place, "alarm-step", one, ground.clock)) for one in over),
    ]
    lines: list[Text | str] = []
    for one in reversed(standing):
        lines += ["", *_lines(one, ground)]
    if not standing:
        lines += ["", "   No alarm stands."]
    lines += ["", *(pieces("   ", ("!", "warn"), " ", words) for words in report.warnings)] * bool(
        report.warnings
    )
    cleared = [line for line in report.table("alarms").lines if line["state"].value == "cleared"]
    for line in cleared:
        when = ground.clock.shown(int(line["cleared_at"].value or 0))
        lines += [pieces((f"   Cleared {when}: ", "dust"), plain(str(line["says"].value)))]
    aside = "Enter does what the line says, Esc closes" if choices and may else "Esc closes"
    place.open_sheet("ALARMS", aside, lines, choices if may else ())


def _lines(one: AlarmRow, ground: Ground) -> list[Text | str]:
    from herdbook.reports.alarm_causes import advice

    since = ground.shown(one.raised_s)
    seen = one.acknowledged
    who = (
        f"{seen.who} looks after it since {ground.shown(seen.at_s)}. {seen.says}"
        if seen
        else "It waits for somebody."
    )
    said: list[Text | str] = [
        pieces(("   ", ""), (f"Alarm {one.alarm}  {plain(one.latest_words)}", "bold")),
        f"   Since {since}. {plain(who)}",
    ]
    return said + [f"   {advice(one.kind)}"] * bool(advice(one.kind))


def _named(one: AlarmRow) -> str:
    return f"alarm {one.alarm}: {plain(one.latest_words)}"


def _writes(place: BookPlace, chore_name: str, one: AlarmRow, clock: FarmClock) -> Callable[[], None]:
    """What taking a choice does: somebody looks after it, or says of one that people raised that it is over."""
    request = uuid.uuid4().hex
    texts = {"alarm": str(one.alarm)} | ({"step": "cleared"} if chore_name == "alarm-step" else {})

    def do() -> None:
        desk = place.desk
        place.close_sheet()

        def chore() -> str:
            said = desk.write(chore_name, texts, request=request)
            return f"{clock.shown_time(desk.now_s)}  Written: {said}"

        place.write(chore)

    return do

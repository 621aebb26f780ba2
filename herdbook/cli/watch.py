"""`herdbook watch`: looks at the book day and night, raises alarms, tells people, brings readings in."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from herdbook.cli.call import Call, say
from herdbook.cli.watch_readings import reading_rounds, readings_options

if TYPE_CHECKING:
    from herdbook.chores.doing import Who
    from herdbook.watch.outbox import Outbox


@click.command()
@click.option("--once", is_flag=True, help="look once, send what waits, and end")
@click.option("--print-unit", is_flag=True, help="print a systemd unit that keeps it running, and end")
@readings_options
@click.pass_obj
def watch(call: Call, /, once: bool, print_unit: bool, **given: Any) -> int:
    """Watch the book day and night: raise alarms, send notices of them; bring in readings of loggers.

    With a FILE or FOLDER it follows a logger's files as they grow, with - it reads standard input, with --mqtt a topic.

    It writes as --person, or as whoever has the login it runs under. It ends well on SIGTERM and loses nothing when it
    is killed. What it does it says on standard error, one line each.
    """
    if print_unit:
        from herdbook.cli.systemd import watcher_text

        say(watcher_text(call.path, call.person).rstrip())
        return 0
    by = _watcher(call)
    ended: list[Callable[[], None]] = []
    readings = reading_rounds(call, by, lambda words: log(call, words), lambda: _all(ended), given)
    if once:
        if readings is not None:
            readings.once()
        _round(call, by, again=False)
        _outbox(call).send_once()
        return 0
    from herdbook.watch.loop import keep_watch, stop_when_told

    stop, outbox = stop_when_told(), _outbox(call)
    ended.append(stop.set)
    log(call, f"watching {call.path.name} as {by.name}")
    outbox.start()
    if readings is not None:
        readings.start()
    try:
        rounds = [lambda: _round(call, by), outbox.see_well]
        if readings is not None:
            rounds.append(readings.see_well)
        keep_watch(call.path, rounds, say=lambda words: log(call, words), stop=stop)
    finally:
        if readings is not None:
            readings.stop()
        outbox.stop()
    log(call, "told to end; ended")
    return 0


def _all(ends: list[Callable[[], None]]) -> None:
    for one in ends:
        one()


def _watcher(call: Call) -> Who:
    """Who the watcher writes as; said at once, not at the first alarm, when they may not."""
    from herdbook.chores.doing import find_chore
    from herdbook.cli.who import as_who, person_at

    with call.reading() as (connection, _):
        who = as_who(person_at(call, connection))
    find_chore("alarm").allow(who)
    return who


def _round(call: Call, by: Who, *, again: bool = True) -> None:
    from herdbook.settings import copies_watched
    from herdbook.watch.alarming import look

    copies = copies_watched(call.settings, call.path)
    looked = look(call.path, call.now_s(), by=by, copies=copies, again=again)
    for words in looked.said:
        log(call, words)


def _outbox(call: Call) -> Outbox:
    from herdbook.watch.outbox import Outbox

    return Outbox(call.path, call.now_s, lambda words: log(call, words))


def log(call: Call, words: str) -> None:
    """One line of the log: the instant, and what was done."""
    from herdbook.plain import plain

    click.echo(f"{call.clock():%Y-%m-%dT%H:%M:%SZ} {plain(words, longest=1_000)}", err=True)

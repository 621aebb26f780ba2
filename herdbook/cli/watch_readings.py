"""The readings that `herdbook watch` brings in: what is given for them on the command line, made into rounds."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from herdbook.cli.call import Call
from herdbook.cli.import_readings import layout_options, tank_named, told
from herdbook.errors import Refused

if TYPE_CHECKING:
    from herdbook.chores.doing import Who
    from herdbook.watch.reading_rounds import ReadingRounds

STDIN = "-"
STDIN_POLL_S = 0.5


def readings_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """What is given for readings: a file, a folder, standard input or a topic; for which tank; how they look."""
    command = layout_options(command)
    for option in (
        click.option(
            "--rows", default=50, type=click.IntRange(1, 10_000), metavar="N", help="... or so many have come"
        ),
        click.option(
            "--every",
            default=300,
            type=click.IntRange(1, 3_600),
            metavar="SECONDS",
            help="write what has come when the oldest waits so long (300)",
        ),
        click.option("--topic", default="", metavar="TOPIC", help="the topic to listen to"),
        click.option(
            "--mqtt-password-file",
            default="",
            metavar="FILE",
            help="the broker's password, in a file its owner alone may read",
        ),
        click.option("--mqtt-user", default="", metavar="NAME", help="the name the broker wants"),
        click.option(
            "--mqtt-ca-file",
            default="",
            metavar="FILE",
            help="lock the line (TLS), trusting the authorities in this file (PEM)",
        ),
        click.option(
            "--mqtt-tls", is_flag=True, help="lock the line (TLS), trusting whom this computer trusts"
        ),
        click.option("--mqtt", default="", metavar="HOST[:PORT]", help="take readings from this broker"),
        click.argument("place", default="", metavar="[FILE|FOLDER|-]"),
    ):
        command = option(command)
    return command


def reading_rounds(
    call: Call, by: Who, say: Callable[[str], None], ended: Callable[[], None], given: dict[str, Any]
) -> ReadingRounds | None:
    """The rounds that bring readings in; none where nothing was given for them.

    Args:
        call: the command.
        by: who the watcher writes as.
        say: takes a line for the log.
        ended: called when standard input ends.
        given: the options of `readings_options`.

    Raises:
        Refused: what was given does not fit together.
    """
    place, mqtt = given.pop("place"), given.pop("mqtt")
    topic, rows, every = given.pop("topic"), given.pop("rows"), given.pop("every")
    how = {name: given.pop(f"mqtt_{name}") for name in ("user", "password_file", "tls", "ca_file")}
    tank, probe, profile = given.pop("tank"), given.pop("probe"), given.pop("profile")
    if place and mqtt:
        raise Refused(
            "Readings come from one place.", remedy="Give a file or folder, or --mqtt.", field="mqtt"
        )
    if not mqtt and any(how.values()):
        raise Refused(
            "A name, a password and a lock are for a broker, and none is given.",
            remedy="Give --mqtt HOST:PORT and --topic TOPIC too.",
            field="mqtt",
        )
    if not place and not mqtt:
        if tank or topic or profile or probe:
            remedy = "Give a file, a folder, - for standard input, or --mqtt HOST:PORT."
            raise Refused("It is not said where readings come from.", remedy=remedy, field="place")
        return None
    from herdbook.watch.reading_feed import Feed

    with call.reading() as (connection, ground):
        number = tank_named(ground, tank)
        layout, named = told(connection, profile, probe, given)
    feed = Feed(call.path, number, by, call.clock, say, named, float(every), rows)
    if mqtt:
        return _of_topic(mqtt, topic, how, layout.unit, feed, say)
    return _of_place(place, layout, feed, say, ended)


def _of_place(place: str, layout: Any, feed: Any, say: Any, ended: Callable[[], None]) -> ReadingRounds:
    from herdbook.watch.following import FollowedFile, FollowedFolder
    from herdbook.watch.logger_lines import LoggerLines
    from herdbook.watch.reading_rounds import ReadingRounds
    from herdbook.watch.standard_input import StandardInput

    if place == STDIN:
        lines = LoggerLines("standard input", layout, feed, say)
        source = StandardInput(sys.stdin.fileno(), lines, ended)
        return ReadingRounds(source, feed, say, poll_s=STDIN_POLL_S)
    path = Path(place).expanduser()
    if path.is_dir():
        return ReadingRounds(FollowedFolder(path, layout, feed, say), feed, say, woken_by=path)
    if not path.parent.is_dir():
        raise Refused(f"There is no folder {path.parent}.", remedy="Check the name.", field="place")
    return ReadingRounds(FollowedFile(path, layout, feed, say), feed, say, woken_by=path)


def _of_topic(mqtt: str, topic: str, how: dict[str, Any], unit: str, feed: Any, say: Any) -> ReadingRounds:
    from herdbook.watch.broker_access import broker_access
    from herdbook.watch.mqtt_source import MOST_UNACKNOWLEDGED, MqttTopic
    from herdbook.watch.reading_rounds import ReadingRounds

    feed.most = min(feed.most, MOST_UNACKNOWLEDGED)
    source = MqttTopic(mqtt, topic, unit, feed, say, broker_access(**how))
    return ReadingRounds(source, feed, say)

"""Sends the notices that wait: each is claimed, tried in a process of its own, and tried again until it is out."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from herdbook.book.notices import claim, settle
from herdbook.book.opening import reading
from herdbook.book.reading import alarms as read_alarms
from herdbook.book.reading.alarms import AlarmRow, NoticeRow
from herdbook.book.reading.farm import farm
from herdbook.book.reading.milk import last_temperature
from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.alarm_causes import advice
from herdbook.watch.deciding import back_off_s
from herdbook.watch.send_one import NO_ADDRESS, SENT

PATIENCE_S = 40
"""A service that has not answered for so long is given up for this try; less than the lease of a claim."""
GIVE_UP_AFTER_S = 3 * 86_400
"""A notice that could not be sent for so long is given up, and stands so in the list."""

HEADS = {"worse": "ALARM, worse", "again": "STILL ALARM", "escalated": "ALARM, nobody has answered"}
"""How a notice begins, by what it is about; others begin with ALARM alone."""

Try = Callable[[str, str, str], int]
"""Address, title, words -> how it went."""


@dataclass(frozen=True, slots=True)
class Told:
    """How one try went, in words for the log; never an address."""

    notice: int
    place: str
    words: str
    sent: bool


def try_to_send(url: str, title: str, body: str) -> int:
    """Send one notice in a process of its own, with an empty environment and a limit on its time."""
    try:
        done = subprocess.run(
            [sys.executable, "-I", "-m", "herdbook.watch.send_one"],
            input=json.dumps({"url": url, "title": title, "body": body}).encode(),
            env={"LANG": "C.UTF-8", "HOME": "/nonexistent", "NETRC": "/dev/null"},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            cwd="/",
            timeout=PATIENCE_S,
            check=False,
        )
    except (OSError, subprocess.TimeoutExpired):
        return -1
    return done.returncode


def send_waiting(
    path: Path, places: Mapping[str, str], now: Callable[[], int], send: Try = try_to_send
) -> list[Told]:
    """Try every notice whose time has come, once.

    A kill between a service's yes and our writing it down leads to the same notice once more, a minute later: it
    bears its number, so that people see it is the same. It is never lost.

    Args:
        path: the book's file.
        places: name -> address.
        now: the clock, UTC seconds.
        send: how one is sent.
    """
    with reading(path) as connection:
        waiting = read_alarms.notices_waiting(connection, now())
    told = []
    for notice in waiting:
        if claim(path, notice.id, notice.tries, now_s=now()):
            told.append(_send(path, notice, places, now, send))
    return told


def _send(
    path: Path, notice: NoticeRow, places: Mapping[str, str], now: Callable[[], int], send: Try
) -> Told:
    with reading(path) as connection:
        alarm = read_alarms.alarm_by_number(connection, notice.alarm)
        its = farm(connection)
        ground = Ground(its.units, its.clock, now())
        last = (
            None if alarm is None or alarm.tank is None else last_temperature(connection, alarm.tank, now())
        )
    place = plain(notice.place)
    if alarm is None:
        settle(path, notice.id, state="not needed", now_s=now(), fault="its alarm was struck")
        return Told(
            notice.id, place, f"notice {notice.id} to {place} is not needed: its alarm was struck", True
        )
    url = places.get(notice.place)
    status = NO_ADDRESS if url is None else send(url, *wording(alarm, notice, ground, its.name, last))
    if status == SENT:
        settle(path, notice.id, state="sent", now_s=now())
        return Told(notice.id, place, f"notice {notice.id} (alarm {alarm.alarm}) sent to {place}", True)
    fault = (
        "there is no such place" if url is None
        else "its address cannot be used" if status == NO_ADDRESS
        else "it did not take the notice"
    )  # fmt: skip
    tries = notice.tries + 1
    if now() - notice.made_at > GIVE_UP_AFTER_S:
        settle(path, notice.id, state="given up", now_s=now(), fault=fault)
        return Told(
            notice.id, place, f"notice {notice.id} to {place} given up after {tries} tries: {fault}", False
        )
    next_s = now() + back_off_s(tries)
    settle(path, notice.id, state="waiting", now_s=now(), next_try_s=next_s, fault=fault)
    again = ground.clock.shown_time(next_s)
    words = (
        f"notice {notice.id} (alarm {alarm.alarm}) could not be sent to {place}: {fault}; tried again {again}"
    )
    return Told(notice.id, place, words, False)


def wording(
    alarm: AlarmRow, notice: NoticeRow, ground: Ground, farm_name: str, last: Any = None
) -> tuple[str, str]:
    """Title and words of a notice, true at the moment it goes out; `last` is the tank's newest reading."""
    what = notice.about.partition(" ")[0]
    head = "cleared" if alarm.cleared else HEADS.get(what, "ALARM")
    lines = [alarm.latest_words, f"Since {ground.shown(alarm.raised_s)}."]
    if last is not None:
        read = ground.shown(last["read_at"])
        lines.append(f"Last read {ground.units.temperature(last['tank_mC'])}, {read}.")
    if alarm.acknowledged:
        seen = alarm.acknowledged
        lines.append(f"{seen.who} looks after it since {ground.shown(seen.at_s)}.")
    if alarm.cleared:
        lines.append(f"Cleared {ground.shown(alarm.cleared.at_s)}.")
    elif advice(alarm.kind):
        lines.append(advice(alarm.kind))
    if not alarm.cleared and not alarm.acknowledged:
        lines.append(
            f"Who looks after it: `herdbook write acknowledge --alarm {alarm.alarm}`, or ! on the screens."
        )
    if ground.now_s - notice.made_at > 120:
        lines.append(f"This notice was made {ground.shown(notice.made_at)}.")
    lines.append(f"Alarm {alarm.alarm}, notice {notice.id}.")
    return plain(f"{farm_name}: {head}"), "\n".join(plain(line, longest=1_000) for line in lines)

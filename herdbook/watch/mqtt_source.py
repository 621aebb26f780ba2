"""Readings from an MQTT topic, acknowledged only once they are in the book: a broker sends again what is not."""

from __future__ import annotations

import hashlib
import json
import queue
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, Any

from herdbook.chores.logger_series import COLDEST_MC, EARLIEST_S, WARMEST_MC, millidegrees
from herdbook.chores.logger_sniffing import NUMBER
from herdbook.chores.logger_times import EPOCH
from herdbook.chores.moments import AHEAD_S
from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.watch.broker_access import BrokerAccess
from herdbook.watch.reading_feed import Feed

if TYPE_CHECKING:
    from paho.mqtt.client import Client, MQTTMessage

MOST_UNACKNOWLEDGED = 10
"""A broker lets only so many messages be under way unacknowledged; twenty is a usual bound. From memory."""

LONGEST_PAYLOAD = 10_000


@dataclass(frozen=True, slots=True)
class Heard:
    """What a message says: the temperature, and when where it tells."""

    tank_mC: int
    at_s: int | None


def understand_payload(payload: bytes, unit: str) -> Heard:
    """A plain number, or a JSON object of `temperature` (or `temperature_c`, `temperature_f`), `unit` and `time`.

    Args:
        payload: the message.
        unit: "C" or "F" of what does not say; empty where that is not known.

    Raises:
        ValueError: it is neither; the words say why.
    """
    if len(payload) > LONGEST_PAYLOAD:
        raise ValueError(f"is {len(payload)} bytes long")
    text = payload.decode("utf-8", "replace").strip()
    if not text.startswith("{"):
        return Heard(_warmth(text, unit), None)
    try:
        told = json.loads(text, parse_float=str, parse_int=str, parse_constant=_no_constant)
    except (ValueError, RecursionError):
        raise ValueError("is not JSON") from None
    for key, its_unit in (("temperature", ""), ("temperature_c", "C"), ("temperature_f", "F")):
        if key in told:
            named = str(told.get("unit", "")).strip().lstrip("°").upper()
            if named and named not in ("C", "F"):
                raise ValueError("has a unit that is neither C nor F")
            return Heard(_warmth(str(told[key]), its_unit or named or unit), _instant(told.get("time")))
    raise ValueError("has no key `temperature`")


def _no_constant(word: str) -> Any:
    raise ValueError(word)


def _warmth(text: str, unit: str) -> int:
    found = NUMBER.fullmatch(text.strip())
    if found is None:
        raise ValueError("is not a temperature")
    unit = (found["unit"] or unit).upper()
    if not unit:
        raise ValueError("does not say whether it is °C or °F; give --unit")
    digits = (found["part"] or "").ljust(4, "0")
    value = int(found["whole"]) * 1000 + int(digits[:3]) + (digits[3] >= "5")
    made = millidegrees(-value if found["sign"] in ("-", "−") else value, unit)
    if not COLDEST_MC <= made <= WARMEST_MC:
        raise ValueError("is no temperature of a tank; the sensor may be broken")
    return made


def _instant(told: object) -> int | None:
    """UTC seconds of a `time`: ISO 8601 with its offset, or seconds or milliseconds since 1970."""
    if told is None:
        return None
    text = str(told).strip()
    if found := EPOCH.fullmatch(text):
        return int(found["whole"]) if found["whole"] else int(found["ms"]) // 1000
    try:
        made = datetime.fromisoformat(text)
        if made.tzinfo is not None:
            return int(made.timestamp())
    except (ValueError, OverflowError):
        raise ValueError("has a `time` that is none") from None
    raise ValueError("has a `time` without its offset")


class MqttTopic:
    """A topic that is subscribed to with quality of service 1, under a name the broker keeps messages for.

    Args:
        address: HOST or HOST:PORT.
        topic: the topic; it may hold the wildcards + and #.
        unit: "C" or "F" of payloads that do not say.
        feed: where the readings go.
        say: takes a line for the log.
        access: the lock of the line, the name and the password.
    """

    def __init__(
        self,
        address: str,
        topic: str,
        unit: str,
        feed: Feed,
        say: Callable[[str], None],
        access: BrokerAccess,
    ) -> None:
        host, _, port = address.rpartition(":") if ":" in address else (address, "", str(access.port))
        if not host or not port.isdecimal() or not 1 <= int(port) <= 65_535 or not topic:
            raise Refused(
                f"mqtt: {plain(address, longest=60)!r} with the topic {plain(topic, longest=60)!r} is no place.",
                remedy="Give --mqtt HOST:PORT and --topic TOPIC.",
                field="mqtt",
            )
        self._host, self._port, self._topic, self._unit = host, int(port), topic, unit
        self._broker = f"broker {plain(host, longest=100)}:{port}"
        self._feed, self._say = feed, say
        self._wake: Callable[[], None] = lambda: None
        self._came: queue.SimpleQueue[tuple[MQTTMessage, int]] = queue.SimpleQueue()
        self._last_plain = 0
        self._access, self._unreached = access, ""
        self._client = self._made()

    def _made(self) -> Client:
        from paho.mqtt.client import Client
        from paho.mqtt.enums import CallbackAPIVersion

        # one name for one book, tank and topic: what it has not acknowledged waits for it at the broker
        told = f"{self._feed.path.absolute()} {self._feed.tank} {self._feed.probe} {self._topic}"
        name = f"herdbook-{hashlib.sha256(told.encode()).hexdigest()[:12]}"
        client = Client(CallbackAPIVersion.VERSION2, client_id=name, clean_session=False, manual_ack=True)
        client.reconnect_delay_set(1, 60)
        if self._access.lock is not None:
            client.tls_set_context(self._access.lock)
        if self._access.user:
            client.username_pw_set(self._access.user, self._access.password)
        client.on_connect = self._connected
        client.on_connect_fail = self._not_reached
        client.on_disconnect = self._disconnected
        client.on_message = self._message
        return client

    def start(self, wake: Callable[[], None]) -> None:
        """Begin to connect; a broker that is not there yet is tried again and again."""
        self._wake = wake
        self._client.connect_async(self._host, self._port, keepalive=30)
        self._client.loop_start()

    def stop(self) -> None:
        """Let go of the broker; it keeps what comes meanwhile."""
        self._client.disconnect()
        self._client.loop_stop()

    def _connected(self, client: Client, _data: Any, _flags: Any, reason: Any, _properties: Any) -> None:
        if reason.is_failure:
            self._say(f"{self._broker} says no: {plain(str(reason))}")
            return
        self._unreached = ""
        client.subscribe(self._topic, qos=1)
        locked = ", over a locked line" if self._access.lock else ""
        self._say(f"{self._broker}: listening to {plain(self._topic)}{locked}")

    def _not_reached(self, _client: Client, _data: Any) -> None:
        # called where the error is handled: what it was is told nowhere else; said once, not at every try
        why = plain(str(sys.exception() or "no answer"), longest=200)
        if why != self._unreached:
            self._unreached = why
            self._say(f"{self._broker} is not reached ({why}); tried again")

    def _disconnected(self, _client: Client, _data: Any, _flags: Any, reason: Any, _properties: Any) -> None:
        if reason.is_failure:  # not where we let go of it ourselves
            self._say(f"{self._broker} is away ({plain(str(reason))}); tried again")

    def _message(self, _client: Client, _data: Any, message: MQTTMessage) -> None:
        self._came.put((message, int(self._feed.now().timestamp())))
        self._wake()

    def poll(self) -> bool:
        """Take the messages that came."""
        while not self._came.empty():
            message, came_s = self._came.get()
            self._take(message, came_s)
        return False

    def _take(self, message: MQTTMessage, came_s: int) -> None:
        acknowledge = partial(self._acknowledge, message.mid, message.qos)
        try:
            heard = understand_payload(bytes(message.payload), self._unit)
            at_s = self._instant_of(heard, message, came_s)
        except ValueError as error:
            shown = plain(message.payload[:60].decode("utf-8", "replace"), longest=60)
            self._say(f"{plain(message.topic, longest=100)}: {shown!r} {error}. Left out.")
            acknowledge()
            return
        self._feed.add([(at_s, heard.tank_mC)], f"mqtt {plain(message.topic, longest=150)}", then=acknowledge)

    def _acknowledge(self, mid: int, qos: int) -> None:
        self._client.ack(mid, qos)

    def _instant_of(self, heard: Heard, message: MQTTMessage, came_s: int) -> int:
        """When the reading was taken: as it says, else when it came, unless that was surely later."""
        if heard.at_s is not None:
            if not EARLIEST_S <= heard.at_s <= came_s + AHEAD_S:
                raise ValueError("has a time that cannot be; its clock may be wrong")
            return heard.at_s
        if message.retain:
            raise ValueError("was kept by the broker and does not say of when it is")
        if message.dup:
            raise ValueError("was sent a second time and does not say of when it is")
        if came_s == self._last_plain:
            raise ValueError("came together with another and does not say of when it is")
        self._last_plain = came_s
        return came_s

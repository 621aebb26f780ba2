"""The watcher with real loggers: killed while it reads, cut off from its broker, and every reading in the book once."""

from __future__ import annotations

import json
import signal
import socket
import subprocess
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.book import reference_chain
from tests.needed import program
from tests.watch.test_watching import Watcher, wait_for
from tests.yard import MINUTE, TEN_O_CLOCK, Yard

if TYPE_CHECKING:
    from paho.mqtt.client import Client

TOPIC = "barn/north"


class Reader(Watcher):
    """A watcher that brings readings in."""

    def __init__(self, yard: Yard, folder: Path, *words: str) -> None:
        super().__init__(yard, folder)
        self.words = words

    def kept(self) -> list[tuple[int, int]]:
        rows = self.yard.rows("SELECT read_at, tank_mC FROM reading ORDER BY read_at")
        return [(row["read_at"], row["tank_mC"]) for row in rows]


def wanted(last: int) -> list[tuple[int, int]]:
    return [(TEN_O_CLOCK - 1_000 * MINUTE + 60 * n, 10 * n) for n in range(1, last + 1)]


def line(n: int) -> str:
    when = datetime.fromtimestamp(wanted(n)[-1][0], UTC)
    return f"{when:%Y-%m-%dT%H:%M:%SZ},{n / 100:.2f} C\n"


@pytest.fixture
def readers(yard: Yard, tmp_path: Path) -> Iterator[Callable[..., Reader]]:
    """Makes watchers that are gone when the test is."""
    made: list[Reader] = []

    def make(*words: str) -> Reader:
        made.append(Reader(yard, tmp_path, *words))
        return made[-1]

    yield make
    for one in made:
        one.close()


@pytest.mark.slow
def test_a_watcher_killed_again_and_again_loses_and_doubles_no_line_of_a_file(
    yard: Yard, tmp_path: Path, readers: Callable[..., Reader]
) -> None:
    path = tmp_path / "logger.csv"
    reader = readers(str(path), "--tank", "North", "--every", "1", "--rows", "5")
    n = 0
    for round_ in range(4):
        reader.start()
        for _ in range(40):
            n += 1
            with path.open("a") as file:
                file.write(line(n)[:9])
                file.flush()
                file.write(line(n)[9:])
            time.sleep(0.005)
        wait_for(lambda at_least=n - 40: len(reader.kept()) > at_least, "some of the lines")
        reader.end(signal.SIGKILL)
        if round_ == 1:
            path.rename(tmp_path / "logger.csv.1")
            path.write_text(
                "".join(line(m) for m in range(n - 60, n + 1))
            )  # turned, and some lines once more
    reader.start()
    wait_for(lambda: reader.said.count("watching") == 5, "the watcher to be there")
    wait_for(lambda: len(reader.kept()) >= n, "all lines")
    assert reader.kept() == wanted(n)
    assert reader.end(signal.SIGTERM) == 0
    assert reader.kept() == wanted(n)
    assert reference_chain.faults(yard.path) == []


class Broker:
    """A real broker of the test's own, on loopback.

    Args:
        folder: where it keeps its things.
        program: the broker.
        doors: lines of its configuration that say who comes in, and how.
    """

    def __init__(self, folder: Path, program: str, doors: str = "allow_anonymous true\n") -> None:
        self.program = program
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.config = folder / "broker.conf"
        self.config.write_text(
            f"listener {self.port} 127.0.0.1\n{doors}persistence true\n"
            f"persistence_location {folder}/\nuser root\nautosave_interval 1\nautosave_on_changes true\n"
        )
        self.process: subprocess.Popen[bytes] | None = None
        self.start()

    def start(self) -> None:
        self.process = subprocess.Popen([self.program, "-c", str(self.config)], stderr=subprocess.DEVNULL)
        wait_for(self._answers, "the broker")

    def _answers(self) -> bool:
        with socket.socket() as line_:
            return line_.connect_ex(("127.0.0.1", self.port)) == 0

    def stop(self) -> None:
        assert self.process is not None
        self.process.terminate()
        self.process.wait(10)

    def tell(
        self, *payloads: str, retain: bool = False, opening: Callable[[Client], None] = lambda _: None
    ) -> None:
        """Publish, each acknowledged by the broker; `opening` is done to the logger before it connects."""
        from paho.mqtt.client import Client
        from paho.mqtt.enums import CallbackAPIVersion

        logger = Client(CallbackAPIVersion.VERSION2)
        opening(logger)
        logger.connect("127.0.0.1", self.port)
        logger.loop_start()
        for payload in payloads:
            logger.publish(TOPIC, payload, qos=1, retain=retain).wait_for_publish(10)
        logger.disconnect()
        logger.loop_stop()


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Broker]:
    made = Broker(tmp_path, program("mosquitto", "mosquitto"))
    yield made
    made.stop()


def told(n: int) -> str:
    when, mc = wanted(n)[-1]
    return json.dumps(
        {"temperature": mc / 1000, "unit": "C", "time": datetime.fromtimestamp(when, UTC).isoformat()}
    )


@pytest.mark.slow
def test_a_topic_loses_and_doubles_nothing_though_watcher_and_broker_go(
    yard: Yard, broker: Broker, readers: Callable[..., Reader]
) -> None:
    where = f"127.0.0.1:{broker.port}"
    reader = readers("--mqtt", where, "--topic", TOPIC, "--tank", "North", "--every", "1")
    reader.start()
    wait_for(lambda: "listening to" in reader.said, "the subscription")
    broker.tell(*map(told, range(1, 16)))
    wait_for(lambda: reader.kept(), "some readings")
    broker.tell(*map(told, range(16, 21)))
    reader.end(signal.SIGKILL)  # some of them not yet in the book
    broker.tell(*map(told, range(21, 41)))  # nobody is listening
    reader.start()
    wait_for(lambda: len(reader.kept()) >= 40, "what waited at the broker")
    broker.stop()
    wait_for(lambda: "is away" in reader.said, "the line to go")
    broker.start()
    wait_for(lambda: reader.said.count("listening to") >= 3, "the line to be back")
    broker.tell(*map(told, range(41, 46)))
    wait_for(lambda: len(reader.kept()) >= 45, "what came after")
    assert reader.kept() == wanted(45)
    assert reader.end(signal.SIGTERM) == 0
    assert reference_chain.faults(yard.path) == []


@pytest.mark.slow
def test_what_a_topic_says_wrongly_is_logged_and_the_rest_is_taken(
    broker: Broker, readers: Callable[..., Reader]
) -> None:
    broker.tell("3.7", retain=True)  # kept by the broker, of nobody knows when
    where = f"127.0.0.1:{broker.port}"
    reader = readers("--mqtt", where, "--topic", "barn/#", "--every", "1", "--unit", "F")
    reader.start()
    wait_for(lambda: "was kept by the broker" in reader.said, "the kept message")
    broker.tell(
        "warm", "{", '{"humidity": 3}', '{"temperature": -127}', '{"temperature_c": 3.9, "time": "noon"}'
    )
    broker.tell(
        '{"temperature": 3.9, "unit": "K"}',
        "\x00\x1b[31m",
        '{"temperature_c": 3.9, "time": 99999999999}',
        "39.2",
    )
    wait_for(lambda: reader.kept(), "the one that is good")
    assert reader.kept() == [(TEN_O_CLOCK, 4_000)]
    for words in (
        "is not a temperature",
        "is not JSON",
        "has no key",
        "sensor",
        "time` that is none",
        "neither C nor F",
        "barn/north",
    ):
        assert words in reader.said
    assert "\x1b" not in reader.said
    assert reader.end(signal.SIGTERM) == 0

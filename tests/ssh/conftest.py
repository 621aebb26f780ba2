"""A farm behind a private SSH server, made once: its book, its people, and a key for each of them."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from herdbook.chores.doing import HAND, NUTRITIONIST, READER
from tests.needed import need
from tests.ssh.door import Door, program, why_not
from tests.yard import DAY, Yard

ODD = 'Zoë O\'Neil "$(touch a)" `touch b`; touch c #\\"\\'
"""A name that means something to every reader of the key's line but the last."""

PEOPLE = {"ben": ("Ben", NUTRITIONIST), "cleo": ("Cleo", HAND), "dov": ("Dov", READER), "eve": ("Eve", HAND)}


@pytest.fixture(scope="session", autouse=True)
def _a_server_there_is() -> None:
    need(why_not())


@pytest.fixture(scope="session")
def farm_yard(tmp_path_factory: pytest.TempPathFactory) -> Yard:
    """A farm of today, since who comes in by the door brings no clock."""
    yard = Yard.started(tmp_path_factory.mktemp("farm") / "farm.book", at_s=int(time.time()) - DAY)
    for name, role in PEOPLE.values():
        yard.do("person", name=name, roles=role)
    yard.do("pen", name="High", head="52")
    yard.do("pen", name="Far dry", kind="dry", head="18")
    yard.do("feed", name="Corn silage", kind="forage", price="52")
    yard.do("tank", name="North", holds="21500")
    return yard


@pytest.fixture(scope="session")
def door(farm_yard: Yard) -> Iterator[Door]:
    """The server, with the key of everyone and of a stranger."""
    with tempfile.TemporaryDirectory(prefix="door") as folder:
        made = Door(Path(folder))
        made.prepare()
        farm_yard.do("person", name=ODD, roles=HAND)
        farm_yard.book.close()
        for key, name in {
            "ada": "Ada",
            **{key: name for key, (name, _) in PEOPLE.items()},
            "odd": ODD,
        }.items():
            made.let_in(key_line(farm_yard.path, name, made.make_key(key)))
        made.make_key("stranger")
        made.start()
        yield made
        made.stop()


def key_line(book: Path, name: str, public: str) -> str:
    """The line that the owner is given for a person's key."""
    done = subprocess.run(
        program("--book", str(book), "people", "key", "--public-key", public, "--", name),
        capture_output=True,
        text=True,
        check=True,
        env={"PATH": "/usr/bin:/bin", "LANG": "C.UTF-8"},
    )
    assert sys.executable in done.stdout
    return done.stdout

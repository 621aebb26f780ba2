"""Readers of typed and sent text meet spoilt input: a tenth and less of what scripts/fuzz.py does by hand."""

from __future__ import annotations

import random
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdbook.clock import parse_day
from herdbook.errors import Refused
from tests.fuzzing import BIG, MOST_MB, READERS, Reader, case, hammer, made_up, mutated

ROOT = Path(__file__).parents[1]


@pytest.mark.parametrize("name", READERS)
def test_what_is_spoilt_is_made_from_what_is_understood(name: str) -> None:
    reader = READERS[name]
    assert sum(case(reader, seed) for seed in reader.seeds) * 4 >= len(reader.seeds)


@pytest.mark.parametrize("name", READERS)
def test_spoilt_input_is_understood_or_refused_in_a_sentence(name: str) -> None:
    tally = hammer(READERS[name], cases=1_500, seconds=600, seed=7)
    assert tally.cases == 1_500
    assert 0 < tally.understood < tally.cases  # neither everything nor nothing passes


@pytest.mark.parametrize("name", READERS)
@settings(max_examples=80)
@given(data=st.data())
def test_made_up_input_is_understood_or_refused_in_a_sentence(name: str, data: st.DataObject) -> None:
    case(READERS[name], data.draw(made_up(READERS[name])))


@pytest.mark.slow
@pytest.mark.parametrize("name", ["analyses", "moments"])
@pytest.mark.parametrize("kind", ["four hundred columns of one digit", "bytes that are no letters"])
def test_ten_million_bytes_take_little_memory(name: str, kind: str) -> None:
    assert kind in BIG
    done = subprocess.run(
        [sys.executable, "scripts/fuzz.py", name, "--peak", kind],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert float(done.stdout) < MOST_MB


def test_a_reader_that_raises_something_else_is_caught() -> None:
    """The fuzzer itself can fail: a reader that divides by what it is given, one without words, one with codes."""

    def speechless(_: bytes) -> None:
        raise Refused("")

    def with_codes(_: bytes) -> None:
        raise Refused("\x1b[2Jgone")

    for reader in (
        Reader((b"1",), lambda sent: 1 / (len(sent) - 2)),
        Reader((b"1",), speechless),
        Reader((b"1",), with_codes),
        Reader((b"9",), lambda sent: parse_day("x", today=None), by_place=True),  # type: ignore[arg-type]
    ):
        with pytest.raises((ArithmeticError, AssertionError, AttributeError)):
            hammer(reader, cases=500, seconds=60, seed=1)


def test_mutations_are_many_and_come_again_with_their_seed() -> None:
    seeds = READERS["words"].seeds

    def made(seed: int) -> list[bytes]:
        chance = random.Random(seed)
        return [mutated(seeds[0], seeds, chance) for _ in range(500)]

    assert made(1) == made(1) != made(2)
    assert len(set(made(1))) > 350


def test_text_behind_the_longest_that_is_looked_at_is_never_left_off_a_number() -> None:
    """What is typed is read whole or not at all: here a tail that stands far behind."""
    for name in ("quantities", "days", "moments"):
        for seed in READERS[name].seeds:
            assert not case(READERS[name], seed + b"\0" * 200_000 + b"junk"), name

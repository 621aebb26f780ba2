"""Every chore and every role, by command."""

from __future__ import annotations

from typing import Any

import pytest

from herdbook.chores.doing import chores
from tests.chores.roles import CELLS, IDS, PEOPLE, authors_of_newest, ready_for
from tests.cli.conftest import Keyboard


def words_of(name: str, texts: dict[str, Any]) -> list[str]:
    """The sample of a chore as a person types it on the command line."""
    words = ["write", name]
    for field, text in texts.items():
        for one in text if isinstance(text, list) else [text]:
            words.append(f"--{field.replace('_', '-')}={one}")
    return words


@pytest.mark.parametrize(("name", "role", "may"), CELLS, ids=IDS)
def test_by_command(keyboard: Keyboard, name: str, role: str, may: bool) -> None:
    yard, who = keyboard.yard, PEOPLE[role]
    texts = ready_for(yard, name)
    before = yard.state()
    answer = keyboard(*words_of(name, texts), person=who.name)
    if may:
        assert answer.status == 0, answer.err
        assert authors_of_newest(yard) == (who.person, name)
    else:
        assert answer.status == 1
        assert f"{who.name} may not write this ({chores()[name].title})." in answer.err
        assert answer.out == ""
        assert yard.state() == before

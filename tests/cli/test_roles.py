"""Who may do what, as a table typed by hand: every chore and every role, by command and on the way screens write."""

from __future__ import annotations

import ast
from pathlib import Path
from typing import Any

import pytest

import herdbook.screens
from herdbook.chores.doing import FIRST, ROLES, Who, chores
from herdbook.errors import ChoreRefused
from herdbook.screens.desk import Desk
from tests.chores.samples import BEFORE, GOOD
from tests.cli.conftest import Keyboard
from tests.yard import ADA, BEN, CLEO, DOV, Yard

PEOPLE = dict(zip(ROLES, (ADA, BEN, CLEO, DOV), strict=True))

# chore: owner, nutritionist, hand, reader
MAY = """
farm            yes no  no  no
person          yes no  no  no
pen             yes no  yes no
head            yes yes yes no
pen-cows        yes yes yes no
feed            yes yes no  no
price           yes yes no  no
mix             yes yes no  no
analysis        yes yes no  no
analyses        yes yes no  no
dry-matter      yes yes yes no
ration          yes yes no  no
pen-ration      yes yes no  no
mixer           yes yes no  no
targets         yes yes no  no
mixer-order     yes yes yes no
feeding-shares  yes yes no  no
load            yes no  yes no
weigh           yes no  yes no
load-sheet      yes no  yes no
drop            yes no  yes no
refusal         yes no  yes no
bunk-score      yes yes yes no
push-up         yes no  yes no
trough          yes no  yes no
call-advice     yes yes no  no
walk            yes no  yes no
walk-close      yes no  yes no
weather         yes yes yes no
tank            yes no  yes no
temperature     yes no  yes no
pickup          yes no  yes no
milking         yes no  yes no
milked          yes no  yes no
note            yes yes yes no
strike          yes yes yes no
"""
TABLE = {
    words[0]: dict(zip(ROLES, words[1:], strict=True)) for words in map(str.split, MAY.split("\n")) if words
}
CELLS = [(name, role, may == "yes") for name, row in TABLE.items() for role, may in row.items()]
IDS = [f"{name}-{role}" for name, role, _ in CELLS]


def ready_for(yard: Yard, name: str) -> dict[str, Any]:
    """Do what must be there before a chore can be done; the words that then do it."""
    if name in BEFORE:
        chore, texts = BEFORE[name]
        yard.do(chore, **texts)
    if name == "strike":  # of a kind that all who may strike at all may write
        return {"entry": str(yard.do("note", **GOOD["note"]).entry)}
    return GOOD[name]


def test_the_table_has_every_chore_and_every_role() -> None:
    assert set(TABLE) == set(chores()) - {FIRST}
    assert all(word in ("yes", "no") for row in TABLE.values() for word in row.values())


def authors_of_newest(yard: Yard) -> tuple[int, str]:
    """Who wrote the newest entry, and by which chore."""
    row = yard.row("SELECT person, chore FROM entry ORDER BY number DESC LIMIT 1")
    return row["person"], row["chore"]


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


@pytest.mark.parametrize(("name", "role", "may"), CELLS, ids=IDS)
def test_on_the_way_that_screens_write(yard: Yard, name: str, role: str, may: bool) -> None:
    who = PEOPLE[role]
    texts = ready_for(yard, name)
    desk, before = Desk(yard.path, who.person, who.name, who.roles, yard.now), yard.state()
    if may:
        assert desk.write(name, texts, request="once")
        assert authors_of_newest(yard) == (who.person, name)
        return
    with pytest.raises(ChoreRefused, match=f"{who.name} may not write this"):
        desk.write(name, texts, request="once")
    assert yard.state() == before


def test_the_desk_is_the_only_way_that_screens_write() -> None:
    """No other file of the screens opens the book for writing or turns to its tables: the matrix above is theirs."""
    found = set()
    for path in Path(herdbook.screens.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            brought = node.module if isinstance(node, ast.ImportFrom) else None
            if brought in ("herdbook.book.writing", "herdbook.book.chain") or (brought or "").startswith(
                ("herdbook.book.tables", "sqlmodel", "sqlalchemy")
            ):
                found.add(path.name)
    assert found == {"desk.py"}


@pytest.mark.parametrize("role", ROLES)
def test_who_may_not_write_a_thing_may_neither_correct_nor_strike_it(yard: Yard, role: str) -> None:
    who = PEOPLE[role]
    for name, row in TABLE.items():
        number = yard.rows("SELECT number FROM entry WHERE chore = ? AND struck_by IS NULL", name)
        if row[role] == "yes" or not number:
            continue
        state, entry = yard.state(), number[-1]["number"]
        with pytest.raises(ChoreRefused, match="may not write this"):
            yard.do(name, by=who, corrects=entry, **GOOD[name])
        with pytest.raises(ChoreRefused, match="may not write this"):
            yard.do("strike", by=who, entry=str(entry))
        assert yard.state() == state


def test_several_roles_add_up(yard: Yard) -> None:
    both = Who(CLEO.person, "Cleo", CLEO.roles | BEN.roles)
    yard.do("price", by=both, **GOOD["price"])
    yard.do("push-up", by=both, **GOOD["push-up"])
    with pytest.raises(ChoreRefused):
        yard.do("person", by=both, **GOOD["person"])


def test_someone_with_no_role_writes_nothing(yard: Yard) -> None:
    nobody, state = Who(0, "", frozenset()), yard.state()
    for name in TABLE:
        with pytest.raises(ChoreRefused):
            chores()[name].allow(nobody)
    assert yard.state() == state

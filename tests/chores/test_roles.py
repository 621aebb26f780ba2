"""Every chore and every role, on the way that screens write."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import herdbook.screens
from herdbook.chores.doing import FIRST, ROLES, Who, chores
from herdbook.errors import ChoreRefused
from herdbook.screens.desk import Desk
from tests.chores.roles import CELLS, IDS, PEOPLE, TABLE, authors_of_newest, ready_for
from tests.chores.samples import GOOD
from tests.yard import BEN, CLEO, Yard


def test_the_table_has_every_chore_and_every_role() -> None:
    assert set(TABLE) == set(chores()) - {FIRST}
    assert all(word in ("yes", "no") for row in TABLE.values() for word in row.values())


@pytest.mark.parametrize(("name", "role", "may"), CELLS, ids=IDS)
def test_on_the_way_that_screens_write(yard: Yard, name: str, role: str, may: bool) -> None:
    who = PEOPLE[role]
    texts = ready_for(yard, name)
    desk, before = Desk(yard.path, who.person, who.name, who.roles, yard.now), yard.pages()
    if may:
        assert desk.write(name, texts, request="once")
        assert authors_of_newest(yard) == (who.person, name)
        return
    with pytest.raises(ChoreRefused, match=f"{who.name} may not write this") as refused:
        desk.write(name, texts, request="once")
    assert "owner" in refused.value.remedy
    assert yard.pages() == before


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
        state, entry = yard.pages(), number[-1]["number"]
        with pytest.raises(ChoreRefused, match="may not write this"):
            yard.do(name, by=who, corrects=entry, **GOOD[name])
        with pytest.raises(ChoreRefused, match="may not write this"):
            yard.do("strike", by=who, entry=str(entry))
        assert yard.pages() == state


def test_several_roles_add_up(yard: Yard) -> None:
    both = Who(CLEO.person, "Cleo", CLEO.roles | BEN.roles)
    yard.do("price", by=both, **GOOD["price"])
    yard.do("push-up", by=both, **GOOD["push-up"])
    with pytest.raises(ChoreRefused):
        yard.do("person", by=both, **GOOD["person"])


def test_someone_with_no_role_writes_nothing(yard: Yard) -> None:
    nobody, state = Who(0, "", frozenset()), yard.pages()
    for name in TABLE:
        with pytest.raises(ChoreRefused):
            chores()[name].allow(nobody)
    assert yard.pages() == state

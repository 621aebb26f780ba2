"""Who writes: named, found by login, the only one there is, or nobody."""

from __future__ import annotations

from tests.cli.conftest import Keyboard
from tests.yard import Yard

HEAD = ("write", "head", "--pen", "High", "--head", "53")


def writer(yard: Yard) -> str:
    return str(
        yard.row(
            "SELECT c.name FROM entry e JOIN person_card c ON c.person = e.person "
            "ORDER BY e.number DESC, c.id DESC LIMIT 1"
        )["name"]
    )


def test_the_login_finds_its_person(keyboard: Keyboard) -> None:
    assert keyboard("people", "add", "Eli", "--role", "hand", "--login", "eli").status == 0
    keyboard.login = "eli"
    assert keyboard(*HEAD).status == 0
    assert writer(keyboard.yard) == "Eli"


def test_the_person_can_be_named(keyboard: Keyboard) -> None:
    keyboard.login = "stranger"
    assert keyboard(*HEAD, person="cleo").status == 0
    assert writer(keyboard.yard) == "Cleo"


def test_part_of_a_name_is_nobody(keyboard: Keyboard) -> None:
    answer = keyboard(*HEAD, person="Cle")
    assert answer.status == 2
    assert "There is nobody called 'Cle' in the book. In the book: Ada, Ben, Cleo, Dov." in answer.err


def test_a_login_that_is_nobody_writes_nothing_and_may_look(keyboard: Keyboard) -> None:
    keyboard.login = "stranger"
    before = keyboard.yard.state()
    answer = keyboard(*HEAD)
    assert answer.status == 1
    assert "Nobody in the book has the login 'stranger'." in answer.err
    assert "--person NAME" in answer.err
    assert keyboard.yard.state() == before
    assert keyboard("show", "pens").status == 0


def test_an_empty_login_is_nobodys(keyboard: Keyboard) -> None:
    keyboard.login = ""  # Ben, Cleo and Dov have none either
    assert keyboard(*HEAD).status == 1


def test_someone_who_may_no_longer_come_in_writes_nothing(keyboard: Keyboard) -> None:
    number = keyboard.yard.row("SELECT number FROM entry WHERE said LIKE 'Cleo%'")["number"]
    keyboard("write", "person", "--corrects", str(number), "--login", "cleo", "--active", "no")
    keyboard.login = "cleo"
    assert keyboard(*HEAD).status == 1
    assert keyboard(*HEAD, person="Cleo").status == 2


def test_the_only_person_without_a_login_is_whoever_sits_there(keyboard: Keyboard, tmp_path) -> None:
    path = tmp_path / "alone.book"
    lone = keyboard.bare(
        "--book", str(path), "new", "--name", "F", "--zone", "UTC", "--owner", "Ida", "--login", ""
    )
    assert lone.status == 0
    keyboard.login = "anyone"
    made = keyboard.bare("--book", str(path), "write", "pen", "--name", "High")
    assert made.status == 0


def test_the_only_person_with_a_login_is_not_whoever_sits_there(bare_keyboard: Keyboard) -> None:
    bare_keyboard.login = "anyone"
    assert bare_keyboard("write", "pen", "--name", "High").status == 1


def test_in_a_made_up_farm_a_stranger_writes_as_its_owner(keyboard: Keyboard) -> None:
    keyboard("write", "farm", "--invented", "yes")
    keyboard.login = "stranger"
    assert keyboard(*HEAD).status == 0
    assert writer(keyboard.yard) == "Ada"


def test_people_are_listed_with_what_they_may(keyboard: Keyboard) -> None:
    answer = keyboard("people", "list", "--as", "json")
    people = {row["person"]: row["roles"] for row in answer.json["tables"]["people"]}
    assert people == {"Ada": "owner", "Ben": "nutritionist", "Cleo": "hand", "Dov": "reader"}


def test_a_person_can_have_several_roles(keyboard: Keyboard) -> None:
    answer = keyboard("people", "add", "Eli", "--role", "hand", "--role", "nut")
    assert answer.out.startswith("Eli, nutritionist and hand.")


def test_only_the_owner_adds_people(keyboard: Keyboard) -> None:
    answer = keyboard("people", "add", "Eli", "--role", "owner", person="Cleo")
    assert answer.status == 1
    assert "Cleo may not write this" in answer.err

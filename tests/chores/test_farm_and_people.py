"""Starting a book, its settings, and people: there is always an owner, and a login is one person."""

from __future__ import annotations

from pathlib import Path

import pytest

from herdbook.book.opening import new_book, reading
from herdbook.book.reading import farm as read_farm
from herdbook.chores.doing import find_chore
from herdbook.chores.ground import Ground
from herdbook.errors import ChoreRefused, Refused
from tests.yard import ADA, START, TEN_O_CLOCK, Yard


def people(yard: Yard) -> dict[str, tuple[set[str], str, bool]]:
    with reading(yard.path) as connection:
        return {p.name: (set(p.roles), p.login, p.active) for p in read_farm.people(connection)}


def test_a_book_is_started_once(bare_yard: Yard) -> None:
    state = bare_yard.pages()
    with pytest.raises(ChoreRefused, match="has been started already"):
        bare_yard.do("start", **START)
    assert bare_yard.pages() == state


@pytest.mark.parametrize("chore", ["person", "pen", "note", "farm"])
def test_nothing_is_written_before_the_book_is_started(tmp_path: Path, chore: str) -> None:
    from tests.chores.samples import GOOD

    path = tmp_path / "farm.book"
    new_book(path)
    yard = Yard(path)
    texts = GOOD[chore] | ({"roles": "owner"} if chore == "person" else {})
    with pytest.raises(ChoreRefused, match="has not been started"):
        yard.do(chore, **texts)
    assert yard.entries == 0
    yard.do("start", **START)


@pytest.mark.parametrize(
    ("field", "text", "label"),
    [
        ("zone", "America/Springfield", "time zone"),
        ("zone", "", "time zone"),
        ("owner", "", "owner"),
        ("owner", "x" * 61, "owner"),
        ("name", "\u200b", "name"),
        ("system", "furlongs", "units"),
        ("decimal", ";", "decimal mark"),
        ("currency", "dollars and cents", "currency"),
        ("day_start", "1440", "day starts"),
        ("day_start", "-1", "day starts"),
        ("cooling_rule", "none-such", "cooling rule"),
        ("invented", "perhaps", "invented"),
    ],
)
def test_a_wrong_start_is_refused_by_field_and_leaves_an_empty_book(
    tmp_path: Path, field: str, text: str, label: str
) -> None:
    path = tmp_path / "farm.book"
    new_book(path)
    yard = Yard(path)
    with pytest.raises(Refused) as refused:
        yard.do("start", **START | {field: text})
    assert refused.value.field == label
    assert yard.entries == 0


def test_settings_are_followed_by_the_next_ones(bare_yard: Yard) -> None:
    with reading(bare_yard.path) as connection:
        key = read_farm.farm(connection).farm_key
    bare_yard.do("farm", name="Low Farm", zone="Europe/Berlin", system="metric", decimal=",", currency="€")
    with reading(bare_yard.path) as connection:
        farm = read_farm.farm(connection)
    assert (farm.name, farm.clock.zone_name, farm.units.load, farm.units.decimal) == (
        "Low Farm",
        "Europe/Berlin",
        "kg",
        ",",
    )
    assert farm.farm_key == key


def test_who_started_the_book_can_be_given_a_login(bare_yard: Yard) -> None:
    bare_yard.do("person", name="Ada", roles=["owner", "hand"], login="ada2")
    assert people(bare_yard) == {"Ada": ({"owner", "hand"}, "ada2", True)}


def test_another_person_is_followed_only_by_correcting(yard: Yard) -> None:
    with pytest.raises(Refused, match="already a person called Ben"):
        yard.do("person", name="Ben", roles="hand")
    wrong = int(yard.row("SELECT entry FROM person_card WHERE name = 'Ben'")["entry"])
    yard.do("person", name="Ben", roles=["nutritionist", "hand"], corrects=wrong)
    assert people(yard)["Ben"] == ({"nutritionist", "hand"}, "", True)


def test_a_login_is_one_person(yard: Yard) -> None:
    with pytest.raises(Refused, match="Ada comes in with ada already"):
        yard.do("person", name="Eve", roles="hand", login="ada")


def test_there_is_always_an_owner(yard: Yard) -> None:
    state = yard.pages()
    for texts in ({"roles": "hand"}, {"roles": "owner", "active": "no"}):
        with pytest.raises(ChoreRefused, match="no owner left"):
            yard.do("person", name="Ada", **texts)
    assert yard.pages() == state
    eve = yard.do("person", name="Eve", roles="owner").entry
    yard.do("person", name="Ada", roles="hand")
    assert people(yard)["Ada"][0] == {"hand"}
    for attempt in (
        lambda: yard.do("strike", entry=str(eve)),
        lambda: yard.do("person", name="Eve", roles="hand", corrects=eve),
        lambda: yard.do("person", name="Eve", roles="owner", active="no", corrects=eve),
    ):
        with pytest.raises(ChoreRefused, match="no owner left"):
            attempt()
    yard.do("person", name="Eve", roles=["owner", "hand"], corrects=eve)


def test_an_unknown_chore_is_refused_with_the_nearest() -> None:
    with pytest.raises(Refused, match=r"no chore called 'pickpu'\. Did you mean pickup\?"):
        find_chore("pickpu")
    with pytest.raises(Refused, match=r"Known: "):
        find_chore("\x1b[31mzzz")


def test_names_are_found_by_any_part_that_fits_one_alone(yard: Yard) -> None:
    yard.do("pen", name="High south")
    ground = yard.ground()
    high, south = ground.names["pen"]["High"], ground.names["pen"]["High south"]
    assert ground.find("pen", "HIGH") == high
    assert ground.find("pen", "south") == south
    with pytest.raises(Refused, match=r"could be High or High south") as refused:
        ground.find("pen", "hig", label="pen")
    assert refused.value.field == "pen"
    with pytest.raises(Refused, match=r"Did you mean Far dry"):
        ground.find("pen", "fardry")
    with pytest.raises(Refused, match="there is no pen in the book yet"):
        Ground(now_s=TEN_O_CLOCK).find("pen", "High")


def test_a_name_typed_with_composed_or_loose_accents_is_one_name(yard: Yard) -> None:
    yard.do("feed", name="Blé", kind="grain")
    with pytest.raises(Refused, match="already a feed"):
        yard.do("feed", name="Ble\u0301", kind="grain")


def test_a_name_with_an_equals_sign_can_stand_in_a_ration(yard: Yard) -> None:
    yard.do("feed", name="Mix 1=2", kind="grain")
    yard.do("dry-matter", feed="Mix 1=2", dry="88")
    yard.do("ration", name="R", item=["Mix 1=2=5 lb"])
    assert yard.row("SELECT mg FROM ration_item ORDER BY id DESC LIMIT 1")["mg"] == 2_267_962


def test_the_owner_alone_may_do_everything(yard: Yard) -> None:
    assert all(
        ADA.roles & chore.roles for chore in map(find_chore, ("person", "farm", "load", "ration", "strike"))
    )

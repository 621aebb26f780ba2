"""Each chore is found in the file the list names, and a wrong name says the nearest."""

from __future__ import annotations

import pytest

from herdbook.chores.doing import MODULES, chores, find_chore
from herdbook.errors import Refused


def test_the_list_of_files_names_every_chore_where_it_is() -> None:
    found = {name: chore.body.__module__.rpartition(".")[2] for name, chore in chores().items()}
    assert found == {name: module for module, names in MODULES.items() for name in names}


def test_a_misspelt_chore_is_told_with_the_nearest() -> None:
    with pytest.raises(Refused, match="Did you mean temperature"):
        find_chore("temprature")

"""This computer's settings are read strictly, and the book is found where people say it lies."""

from __future__ import annotations

from pathlib import Path

import platformdirs
import pytest

from herdbook.errors import Refused
from herdbook.settings import APP, BOOK_VARIABLE, Settings, book_path, read_settings, settings_path


def written(folder: Path, text: str | bytes) -> Path:
    path = folder / "settings.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_no_file_means_the_defaults(tmp_path: Path) -> None:
    assert read_settings(tmp_path / "none.toml") == Settings(book="", look="night", signs="full", bell=True)


def test_every_setting_can_be_set(tmp_path: Path) -> None:
    path = written(tmp_path, 'book = "/srv/farm.book"\nlook = "day"\nsigns = "plain"\nbell = false\n')
    assert read_settings(path) == Settings(book="/srv/farm.book", look="day", signs="plain", bell=False)


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ('colour = "red"\n', "colour"),
        ('look = "dusk"\n', "look"),
        ("look = 1\n", "look"),
        ('bell = "yes"\n', "bell"),
        ("bell = 1\n", "bell"),
        ("[book]\npath = 1\n", "book"),
    ],
)
def test_a_wrong_line_is_refused_by_name(tmp_path: Path, text: str, names: str) -> None:
    with pytest.raises(Refused) as refused:
        read_settings(written(tmp_path, text))
    assert refused.value.field == names
    assert names in refused.value.message
    assert refused.value.remedy


@pytest.mark.parametrize("text", ["look = ", "\x00", b"\xff\xfe", "look = 'night'\nlook = 'day'\n"])
def test_a_file_that_is_no_settings_file_is_refused(tmp_path: Path, text: str | bytes) -> None:
    with pytest.raises(Refused, match="cannot be read"):
        read_settings(written(tmp_path, text))


def test_a_folder_in_the_files_place_is_refused(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="cannot be read"):
        read_settings(tmp_path)


def test_the_settings_file_lies_in_the_users_settings_folder() -> None:
    assert settings_path() == platformdirs.user_config_path(APP) / "settings.toml"


def test_the_book_is_the_one_given_then_the_variables_then_the_settings_then_the_users(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    named = Settings(book="/srv/named.book")
    assert book_path(None, Settings()) == platformdirs.user_data_path(APP) / "farm.book"
    assert book_path(None, named) == Path("/srv/named.book")
    monkeypatch.setenv(BOOK_VARIABLE, "/srv/variable.book")
    assert book_path(None, named) == Path("/srv/variable.book")
    assert book_path("/srv/given.book", named) == Path("/srv/given.book")
    monkeypatch.setenv(BOOK_VARIABLE, "~/own.book")
    assert book_path(None, named) == Path.home() / "own.book"

"""The words that a client sends: split as a shell would, with nothing of what a shell does, and few of them allowed."""

from __future__ import annotations

import shlex
from collections.abc import Iterator

import click
import pytest
from hypothesis import given
from hypothesis import strategies as st

from herdbook.cli import ssh
from herdbook.cli.call import Call
from herdbook.cli.main import COMMANDS, herdbook
from herdbook.errors import Refused
from tests.yard import Yard

PATHLIKE = {"FILE", "PATH", "FOLDER", "DIR"}


@pytest.fixture(autouse=True)
def _no_latch(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is tried here is the first lock alone; the second cannot be taken off a process again."""
    monkeypatch.setattr("herdbook.cli.latch.shut", lambda *_: None)


def come_in(yard: Yard, sent: bytes) -> int:
    """Cleo's words, in this process."""
    return ssh.let_in(Call(now=yard.now, book=str(yard.path)), "Cleo", sent, terminal=False)


@given(st.lists(st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=12), max_size=6))
def test_quoted_words_arrive_as_they_were(words: list[str]) -> None:
    kept = words[1:] if words and words[0] in ssh.OWN_NAMES else words
    assert ssh.words_of(shlex.join(words).encode()) == kept


@given(st.binary(max_size=60))
def test_any_bytes_are_words_or_refused(sent: bytes) -> None:
    try:
        words = ssh.words_of(sent)
    except Refused:
        return
    left = list(sent.decode())
    for letter in "".join(words):  # nothing is put in that was not sent, and nothing changes its place
        while left.pop(0) != letter:
            pass


# every character that means something to a shell stays a letter like any other
@pytest.mark.parametrize("mark", list(";&|<>()$`*?[]{}~!#=%^\n\t"))
def test_a_shells_marks_mean_nothing(mark: str) -> None:
    words = ssh.words_of(f"show pens{mark}touch a".encode())
    blank = mark in "\n\t"
    assert words == (["show", "pens", "touch", "a"] if blank else ["show", f"pens{mark}touch", "a"])


@pytest.mark.parametrize(
    "trick",
    [
        "show pens > a",
        "show pens & touch a",
        "$(touch a)",
        "bash -i",
        'python3 -c \'open("a", "w")\'',
        "herdbook herdbook show pens",
        "show pens \\",
        "TERM=x show pens",
        "../../bin/sh",
        "{touch,a}",
        "~/x",
        "*",
        "!!",
        "show pens \xad\u202e",
        "sftp-server",
        "scp -t .",
        "rsync --server .",
        "git-upload-pack 'x'",
        "people add Mallory --role owner",
        "people key Ada --public-key x",
        "new --name F",
        "demo",
        "--version",
        "--book x show pens",
        "-- show pens --book x",
    ],
)
def test_a_trick_is_refused_by_the_command_line_and_writes_nothing(yard: Yard, trick: str) -> None:
    before = yard.state()
    with pytest.raises((click.ClickException, Refused)):
        come_in(yard, trick.encode())
    assert yard.state() == before


def test_the_person_of_the_line_is_the_one_whatever_was_said_before(yard: Yard) -> None:
    call = Call(now=yard.now, book=str(yard.path), person="Ada", login="ada")
    assert ssh.let_in(call, "Cleo", b"write head --pen High --head 51", terminal=False) == 0
    assert yard.row("SELECT person FROM entry ORDER BY number DESC LIMIT 1")["person"] == 3


@pytest.mark.parametrize("name", ["", " ", "\udcff", "Nobody", "cle"])
def test_a_line_that_names_nobody_opens_nothing(
    yard: Yard, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(Refused):
        ssh.let_in(Call(now=yard.now, book=str(yard.path), login="ada"), name, b"show pens", terminal=False)
    assert capsys.readouterr().out == ""


HARMLESS = {
    # each looks at the book, or writes in it what its person may write, and takes files from standard input alone
    *("show", "explain", "write", "strike", "enter", "check", "seal", "reckon", "manual", "people list"),
    *("import analyses", "import ration", "import readings"),
    *("print loads", "print treatments", "print temperature-record"),
}
SHUT = {
    "new": "makes a file anywhere",
    "demo": "makes a file anywhere",
    "copy": "makes files anywhere, reads keys, prints how this computer is set up",
    "restore": "reads and replaces any file",
    "ssh": "is the door: it would take a person from elsewhere than the key's line",
    "watch": "reads any file, reaches the network, starts a program for each notice",
    "notice-place add": "writes addresses with passwords, and says where data go",
    "notice-place list": "reads them",
    "notice-place remove": "writes them",
    "notice-place test": "reaches the network",
    "people add": "is for the farm's own computer, like the key that follows",
    "people key": "reads any file, prints how this computer is set up",
}
BY_LISTS = {"write", "show", "explain"}
"""Their parts are chores and reports, which a person's roles open or shut here as everywhere (tests/chores)."""


def leaves(commands: click.Group) -> Iterator[tuple[str, click.Command]]:
    """Every command by its name, those of several parts by part."""
    context = click.Context(commands)
    for name in commands.list_commands(context):
        command = commands.get_command(context, name)
        assert command is not None
        if isinstance(command, click.Group) and name not in BY_LISTS:
            for part in command.list_commands(context):
                found = command.get_command(context, part)
                assert found is not None
                yield f"{name} {part}", found
        else:
            yield name, command


def test_every_command_is_open_or_shut_by_decision() -> None:
    """A new command or part is not let in by accident: it stands in one of the two lists above, with why."""
    everywhere = {name for name, _ in leaves(herdbook)}
    assert everywhere == HARMLESS | set(SHUT)
    assert {name for name, _ in leaves(ssh.door())} == HARMLESS
    assert set(COMMANDS) == set(ssh.OPEN) | ssh.SHUT


@pytest.mark.parametrize("name", SHUT)
def test_a_shut_command_is_not_even_known(yard: Yard, name: str) -> None:
    before = yard.state()
    for more in (
        "",
        " --help",
        " Ada --public-key x --role owner",
        " --print-unit",
        " --print-timer service",
    ):
        with pytest.raises(click.ClickException, match=r"There is no command|No such command"):
            come_in(yard, f"{name}{more}".encode())
    assert yard.state() == before


def parameters() -> Iterator[tuple[str, click.Parameter]]:
    """Every option and argument that can be sent, with its command."""
    door = ssh.door()
    context = click.Context(door)
    for name in door.list_commands(context):
        command = door.get_command(context, name)
        assert command is not None
        parts = [command]
        if isinstance(command, click.Group):
            parts = [
                part for one in command.list_commands(context) if (part := command.get_command(context, one))
            ]
            yield from ((name, parameter) for parameter in command.params)
        for part in parts:
            yield from ((f"{name} {part.name}", parameter) for parameter in part.params)


def test_what_names_a_file_can_only_be_standard_input() -> None:
    shut = 0
    for where, parameter in parameters():
        assert not isinstance(parameter.type, click.Path | click.File), where
        assert not {"--person", "--book"} & set(parameter.opts), where  # both are the key's line's to say
        if parameter.metavar == "-":
            shut += 1
            with pytest.raises(Refused, match="No file can be named"):
                parameter.type.convert("x", parameter, None)
            assert parameter.type.convert("-", parameter, None) == "-"
        else:
            assert not PATHLIKE & set((parameter.metavar or "").split("|")), f"{where} {parameter.metavar}"
    assert shut > 30


def test_shutting_files_at_the_door_leaves_the_keyboards_commands_as_they_were() -> None:
    list(parameters())
    from herdbook.cli.import_files import analyses

    assert [one.metavar for one in analyses.params if one.name == "file"] == ["FILE|-"]

"""Copies that leave the house locked: nothing readable leaves with them, and only the right key brings them back."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pyrage
import pytest

from herdbook.book import locking
from herdbook.book.copying import copies_are_old, copies_in, newest_copy
from herdbook.errors import ChoreRefused
from tests.book import reference_chain
from tests.cli.conftest import Keyboard
from tests.yard import DAY, TEN_O_CLOCK, Yard

PASSPHRASE = "correct horse battery staple"


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """The disk that copies go to."""
    made = tmp_path / "stick"
    made.mkdir()
    return made


@pytest.fixture
def key(keyboard: Keyboard, tmp_path: Path) -> tuple[str, str]:
    """A new key: its public half, and the file of the secret one."""
    path = tmp_path / "farm.key"
    answer = keyboard("copy", "--new-key", str(path))
    assert answer.status == 0
    assert path.stat().st_mode & 0o777 == 0o600
    return answer.out.splitlines()[0], str(path)


def locked(keyboard: Keyboard, stick: Path, *words: str) -> Path:
    answer = keyboard("copy", "--to", str(stick), *words)
    assert answer.status == 0, answer.err
    keyboard.yard.book.close()
    return Path(answer.out.splitlines()[0])


def leftovers(keyboard: Keyboard) -> list[str]:
    return [path.name for path in keyboard.path.parent.rglob(".farm-*")]


def test_a_locked_copy_is_brought_back_as_the_book_it_was(
    keyboard: Keyboard, stick: Path, key: tuple[str, str]
) -> None:
    before = keyboard.yard.state()
    copy = locked(keyboard, stick, "--lock-for", key[0])
    assert copy.name.endswith(".book.age")
    keyboard.path.unlink()
    answer = keyboard("restore", str(copy), "--unlock-with", key[1], "--yes")
    assert answer.status == 0, answer.err
    assert f"{copy}:sound,{keyboard.yard.entries}entries" in "".join(answer.out.split())
    assert Yard(keyboard.path).state() == before
    assert reference_chain.faults(keyboard.path) == []
    assert leftovers(keyboard) == []


def test_nothing_readable_ever_lies_where_the_copy_goes(
    keyboard: Keyboard, stick: Path, key: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Looked at while the copy is being locked, and in the end."""
    seen: list[bytes] = []
    close = locking.Lock.close

    def looked_at(lock: locking.Lock, plain: Path, into: Path) -> None:
        close(lock, plain, into)
        seen.extend(path.read_bytes() for path in stick.iterdir())

    monkeypatch.setattr(locking.Lock, "close", looked_at)
    seen.append(locked(keyboard, stick, "--lock-for", key[0]).read_bytes())
    assert len(seen) == 2
    for held in seen:
        assert held.startswith(b"age-encryption.org/v1\n")
        assert b"Corn silage" not in held
        assert b"CREATE TABLE" not in held
    assert b"Corn silage" in keyboard.path.read_bytes()


def test_the_open_format_of_age_is_what_is_written(
    keyboard: Keyboard, stick: Path, key: tuple[str, str], tmp_path: Path
) -> None:
    """Another program opens it with the key alone: here the library itself, with nothing of ours between."""
    copy = locked(keyboard, stick, "--lock-for", key[0])
    secret = next(
        line for line in Path(key[1]).read_text().splitlines() if line.startswith("AGE-SECRET-KEY-")
    )
    plain = tmp_path / "opened.book"
    plain.write_bytes(pyrage.decrypt(copy.read_bytes(), [pyrage.x25519.Identity.from_str(secret)]))
    assert reference_chain.faults(plain) == []
    assert Yard(plain).entries == keyboard.yard.entries


def test_a_copy_locked_for_two_opens_for_each_and_for_nobody_else(
    keyboard: Keyboard, stick: Path, key: tuple[str, str], tmp_path: Path
) -> None:
    second, third = tmp_path / "second.key", tmp_path / "third.key"
    publics = tmp_path / "public keys"
    publics.write_text(
        f"# who may open the farm's copies\n{key[0]}\n\n{locking.new_key(second)}\n", encoding="utf-8"
    )
    locking.new_key(third)
    copy = locked(keyboard, stick, "--lock-for", str(publics))
    for name in (key[1], str(second)):
        onto = tmp_path / f"{Path(name).stem}.book"
        assert keyboard("restore", str(copy), "--unlock-with", name, "--onto", str(onto), "--yes").status == 0
    answer = keyboard("restore", str(copy), "--unlock-with", str(third), "--onto", str(onto), "--yes")
    assert (answer.status, answer.out) == (1, "")
    assert "does not open with this key" in answer.err
    assert leftovers(keyboard) == []


def test_a_copy_may_be_locked_for_an_ssh_key(keyboard: Keyboard, stick: Path, tmp_path: Path) -> None:
    if shutil.which("ssh-keygen") is None:
        pytest.skip("no ssh-keygen here")
    name = tmp_path / "id"
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", str(name)], check=True)
    public = name.with_suffix(".pub").read_text().strip()
    copy = locked(keyboard, stick, "--lock-for", public, "--unlock-with", str(name))
    onto = tmp_path / "trial.book"
    answer = keyboard("restore", str(copy), "--unlock-with", str(name), "--onto", str(onto), "--yes")
    assert answer.status == 0, answer.err


@pytest.mark.slow
def test_a_passphrase_locks_and_opens_and_a_wrong_one_does_not(
    keyboard: Keyboard, stick: Path, tmp_path: Path
) -> None:
    right, wrong, onto = tmp_path / "right", tmp_path / "wrong", tmp_path / "trial.book"
    right.write_text(f"# what opens the copies of the farm\n{PASSPHRASE}\n")
    wrong.write_text(f"{PASSPHRASE}s\n")
    answer = keyboard("copy", "--to", str(stick), "--passphrase-file", str(right))
    assert "Locked; opened again, and it held the same." in answer.out
    copy = answer.out.splitlines()[0]
    assert keyboard("restore", copy, "--unlock-with", str(wrong), "--onto", str(onto), "--yes").status == 1
    assert not onto.exists()
    assert keyboard("restore", copy, "--unlock-with", str(right), "--onto", str(onto), "--yes").status == 0
    assert Yard(onto).entries == keyboard.yard.entries


@pytest.mark.parametrize("place", [0, 30, 150, 300, 5_000, -1])
def test_a_changed_locked_copy_is_not_opened(
    keyboard: Keyboard, stick: Path, key: tuple[str, str], place: int, tmp_path: Path
) -> None:
    copy = locked(keyboard, stick, "--lock-for", key[0])
    held = bytearray(copy.read_bytes())
    held[place] ^= 4
    copy.write_bytes(held)
    before = keyboard.yard.state()
    answer = keyboard("restore", str(copy), "--unlock-with", key[1], "--yes")
    assert answer.status in (1, 2)
    assert len(answer.err.splitlines()) == 1
    assert keyboard.yard.state() == before
    assert leftovers(keyboard) == []


def test_a_locked_copy_that_is_cut_short_is_not_opened(
    keyboard: Keyboard, stick: Path, key: tuple[str, str], tmp_path: Path
) -> None:
    copy = locked(keyboard, stick, "--lock-for", key[0])
    whole = copy.read_bytes()
    for length in (len(whole) - 1, len(whole) // 2, 400, 40):
        copy.write_bytes(whole[:length])
        answer = keyboard(
            "restore", str(copy), "--unlock-with", key[1], "--onto", str(tmp_path / "t.book"), "--yes"
        )
        assert answer.status == 1
        assert "does not open with this key, or it is damaged" in answer.err
    assert not (tmp_path / "t.book").exists()


def test_a_locked_copy_that_does_not_open_to_the_same_is_not_kept(
    keyboard: Keyboard, stick: Path, key: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The library is made to lock something else than it was given."""
    real = pyrage.encrypt_io
    monkeypatch.setattr(
        pyrage,
        "encrypt_io",
        lambda source, target, keys: target.write(pyrage.encrypt(b"something else", keys)) and None,
    )
    answer = keyboard("copy", "--to", str(stick), "--lock-for", key[0], "--unlock-with", key[1])
    assert (answer.status, list(stick.iterdir())) == (1, [])
    assert "does not open to what was put in" in answer.err
    monkeypatch.setattr(pyrage, "encrypt_io", real)
    assert "opened again" in keyboard(
        "copy", "--to", str(stick), "--lock-for", key[0], "--unlock-with", key[1]
    ).out  # fmt: skip


def test_locked_copies_make_room_among_themselves_and_count_for_the_alert(
    keyboard: Keyboard, stick: Path, key: tuple[str, str]
) -> None:
    plain = locked(keyboard, stick)
    kept = []
    for _ in range(3):
        keyboard.yard.do("temperature", reading="41F")
        keyboard.yard.now_s += 60
        kept.append(locked(keyboard, stick, "--lock-for", key[0], "--keep", "2"))
    assert {copy.path for copy in copies_in(stick)} == {plain, *kept[1:]}
    newest = newest_copy(stick)
    assert newest is not None
    assert (newest.path, newest.locked, newest.number) == (kept[2], True, keyboard.yard.entries)
    assert not copies_are_old(stick, now_s=TEN_O_CLOCK + DAY, limit_s=2 * DAY)


def test_a_locked_copy_of_another_book_is_never_taken_away(
    keyboard: Keyboard, stick: Path, key: tuple[str, str], tmp_path: Path
) -> None:
    strange = stick / "farm-20200101T000000Z-e1-0123456789ab.book.age"
    strange.write_bytes(b"age-encryption.org/v1\n")
    answer = keyboard("copy", "--to", str(stick), "--lock-for", key[0], "--keep", "1")
    assert strange.exists()
    assert f"Left where it is: {strange.name} is a copy of another book" in answer.out


def test_what_cannot_lock_or_open_is_refused_in_a_sentence(
    keyboard: Keyboard, stick: Path, key: tuple[str, str], tmp_path: Path
) -> None:
    short, empty, noise = tmp_path / "short", tmp_path / "empty", tmp_path / "noise"
    short.write_text("secret\n")
    empty.write_text("# nothing\n")
    noise.write_bytes(os.urandom(300) + b"\xff")
    long = tmp_path / "long"
    long.write_text("word " * 20_000)
    refused = [
        ("--lock-for", "age1nothing"),
        ("--lock-for", "ssh-ed25519 nothing"),
        ("--lock-for", str(tmp_path / "none")),
        ("--lock-for", str(empty)),
        ("--lock-for", str(noise)),
        ("--lock-for", str(long)),
        (
            "--lock-for",
            Path(key[1]).read_text().splitlines()[1],
        ),  # the secret half given away for the public one
        ("--lock-for", key[0], "--unlock-with", str(empty)),
        ("--lock-for", key[0], "--unlock-with", str(short)),
        ("--lock-for", key[0], "--passphrase-file", str(short)),
        ("--passphrase-file", str(long), "--unlock-with", key[1]),
        ("--passphrase-file", str(empty)),
        ("--passphrase-file", str(short)),
        ("--unlock-with", key[1]),
        ("--new-key", key[1]),
    ]
    for words in refused:
        answer = keyboard("copy", "--to", str(stick), *words)
        assert (answer.status, answer.out, list(stick.iterdir())) == (2, "", []), words
        assert len(answer.err.splitlines()) == 1
    copy = locked(keyboard, stick, "--lock-for", key[0])
    bare = keyboard("restore", str(copy), "--yes")
    assert bare.status == 2
    assert "is locked. Name the file that opens it: --unlock-with FILE." in bare.err
    assert "is a locked copy" in keyboard.bare("--book", str(copy), "check").err
    assert keyboard("restore", str(copy), "--unlock-with", str(short), "--yes").status == 1


def test_the_public_half_cannot_open(key: tuple[str, str], tmp_path: Path) -> None:
    plain, closed = tmp_path / "plain", tmp_path / "closed"
    plain.write_text("a book")
    closed.touch()
    locking.lock_of([key[0]], None, None).close(plain, closed)
    (tmp_path / "public").write_text(key[0])
    with pytest.raises(ChoreRefused), locking.unlocked(closed, tmp_path / "public", tmp_path):
        pass


def test_the_unit_for_every_night_is_one_that_systemd_takes(
    keyboard: Keyboard, tmp_path: Path, key: tuple[str, str]
) -> None:
    folder = tmp_path / 'disk 100% of "A"'
    folder.mkdir()
    words = ("copy", "--to", str(folder), "--keep", "30", "--lock-for", key[0])
    service = keyboard(*words, "--print-timer", "service")
    timer = keyboard(*words, "--print-timer", "timer")
    assert (service.status, timer.status) == (0, 0)
    assert "@" not in service.out.replace("Look the paths over", "")
    assert f"--keep 30 --lock-for {key[0]}" in service.out
    assert list(folder.iterdir()) == []  # it only printed
    if shutil.which("systemd-analyze") is None:
        pytest.skip("no systemd here")
    for name, text in (("herdbook-copy.service", service.out), ("herdbook-copy.timer", timer.out)):
        (tmp_path / name).write_text(text)
    done = subprocess.run(
        ["systemd-analyze", "verify", "--man=no", *map(str, tmp_path.glob("herdbook-copy.*"))],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert "herdbook-copy" not in done.stderr, done.stderr
    assert done.returncode == 0, done.stderr


def test_the_printed_command_makes_the_copy(keyboard: Keyboard, tmp_path: Path, key: tuple[str, str]) -> None:
    """What the service would run, run: its words come back as they were given."""
    folder = tmp_path / "disk"
    folder.mkdir()
    keyboard.yard.book.close()
    printed = keyboard("copy", "--to", str(folder), "--lock-for", key[0], "--print-timer", "service").out
    command = next(line for line in printed.splitlines() if line.startswith("ExecStart="))
    done = subprocess.run(command.removeprefix("ExecStart=").split(), check=False, capture_output=True)
    assert done.returncode == 0, done.stderr
    assert [copy.locked for copy in copies_in(folder)] == [True]

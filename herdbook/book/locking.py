"""Copies locked with age, so that whoever finds the disk reads nothing: closing, trying and opening them."""

from __future__ import annotations

import hashlib
import os
import secrets
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

from herdbook.errors import ChoreRefused, HerdbookError, Refused

LOCKED = ".age"
"""What the name of a locked copy ends in."""

_AGE = b"age-encryption.org/v1\n"
_SCRYPT = b"-> scrypt "
"""The first line of an age file, and how the line of a passphrase begins (the age file format, version 1)."""

PUBLIC = ("age1", "ssh-")
"""How a public key begins; anything else names a file."""

_KEY, _SSH_KEY = "AGE-SECRET-KEY-", "-----BEGIN "
SHORTEST_PASSPHRASE = 16
"""Letters; whoever finds a copy may try passphrases on it for as long as they like. Our own limit."""


@dataclass(frozen=True, slots=True)
class Lock:
    """What a copy is locked with.

    Args:
        recipients: public keys it opens to; empty with a passphrase.
        passphrase: the passphrase, else empty.
        keys: secret keys at hand, to try the locked copy with.
    """

    recipients: tuple[Any, ...] = ()
    passphrase: str = ""
    keys: tuple[Any, ...] = ()

    @property
    def is_tried(self) -> bool:
        """Whether something is at hand that must open the copy."""
        return bool(self.passphrase or self.keys)

    def close(self, plain: Path, locked: Path) -> None:
        """Write what `plain` holds, locked, into the empty file `locked`; open it again if it can be tried.

        Raises:
            ChoreRefused: it could not be locked, or did not open to what was put in.
        """
        import pyrage  # type: ignore[import-untyped]

        try:
            with plain.open("rb") as source, locked.open("wb") as target:
                if self.passphrase:
                    target.write(pyrage.passphrase.encrypt(source.read(), self.passphrase))
                else:
                    pyrage.encrypt_io(source, target, list(self.recipients))
                target.flush()
                os.fsync(target.fileno())
        except pyrage.EncryptError as error:
            raise ChoreRefused(f"The copy could not be locked: {error}.") from None
        if self.is_tried:
            seen = _Digest()
            _open(locked, self.keys, self.passphrase, seen)
            with plain.open("rb") as source:
                if hashlib.file_digest(source, "sha256").digest() != seen.sha.digest():
                    raise ChoreRefused("The locked copy does not open to what was put in.")


class _Digest:
    """A file to write to that keeps nothing but the sum of what was written."""

    def __init__(self) -> None:
        self.sha = hashlib.sha256()

    def write(self, data: bytes) -> int:
        self.sha.update(data)
        return len(data)

    def flush(self) -> None:
        """Nothing waits."""


def is_locked(path: Path) -> bool:
    """Whether a file is locked with age, by its first line."""
    with suppress(OSError), path.open("rb") as file:
        return file.read(len(_AGE)) == _AGE
    return False


def lock_of(recipients: Sequence[str], passphrase_file: Path | None, key_file: Path | None) -> Lock:
    """The lock that was asked for.

    Args:
        recipients: age or ssh public keys, or names of files that hold such keys, one a line.
        passphrase_file: a file whose first line is the passphrase, instead of recipients.
        key_file: a file of secret keys to try the locked copy with.

    Raises:
        Refused: a key that is none, both kinds at once, or a passphrase that is too short.
    """
    if passphrase_file is not None:
        if recipients:
            raise Refused(
                "A copy is locked for keys or with a passphrase, not both.", remedy="Give one of the two."
            )
        if key_file is not None:
            raise Refused(
                "A copy that is locked with a passphrase is tried with it; it needs no key.",
                remedy="Leave --unlock-with out.",
                field="unlock-with",
            )
        passphrase = next(iter(_told_in(_text_of(passphrase_file))), "")
        if len(passphrase) < SHORTEST_PASSPHRASE:
            raise Refused(
                f"The passphrase in {passphrase_file} is shorter than {SHORTEST_PASSPHRASE} letters.",
                remedy="Take five or six words that have nothing to do with each other.",
                field="passphrase-file",
            )
        return Lock(passphrase=passphrase)
    keys = _keys_in(key_file)[0] if key_file else ()
    if key_file and not keys:
        raise Refused(f"There is no secret key in {key_file}.", field="unlock-with")
    return Lock(tuple(key for text in recipients for key in _recipients_in(text)), keys=keys)


def _recipients_in(text: str) -> Iterator[Any]:
    import pyrage

    found = _told_in(text if text.startswith(PUBLIC) else _text_of(Path(text).expanduser()))
    for line in found:
        kind = pyrage.ssh if line.startswith("ssh-") else pyrage.x25519
        try:
            yield kind.Recipient.from_str(line)
        except pyrage.RecipientError:
            raise Refused(
                f"{line[:24]}... is no key that a copy can be locked for.",
                remedy="Give an age public key (age1...), an ssh-ed25519 or ssh-rsa one, or a file of such lines.",
                field="lock-for",
            ) from None
    if not found:
        raise Refused(f"There is no key in {text}.", remedy="One public key a line.", field="lock-for")


def new_key(path: Path) -> str:
    """Write a new secret key into a file of its own, readable by nobody else; return its public half."""
    import pyrage

    key = pyrage.x25519.Identity.generate()
    try:
        with os.fdopen(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w") as file:
            file.write(f"# opens the farm's locked copies; public key: {key.to_public()}\n{key}\n")
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        raise Refused(f"{path} could not be made: {error.strerror}.", remedy="Name a new file.") from None
    return str(key.to_public())


@contextmanager
def unlocked(copy: Path, key_file: Path | None, beside: Path) -> Iterator[Path]:
    """What a copy holds, as a file to read: the copy itself, or, if it is locked, what it opens to for a while.

    Args:
        copy: the copy.
        key_file: what opens it: secret keys of age or ssh, or a passphrase on the first line.
        beside: the folder to open it in; nobody but the owner of the file may read it there.

    Raises:
        Refused: it is locked and no key was given.
        ChoreRefused: the key does not open it, or it is damaged.
    """
    if not is_locked(copy):
        yield copy
        return
    if key_file is None:
        raise Refused(
            f"{copy} is locked.",
            remedy="Name the file that opens it: --unlock-with FILE.",
            field="unlock-with",
        )
    part = beside / f".farm-{os.getpid()}-{secrets.token_hex(4)}.part"
    try:
        with os.fdopen(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as file:
            keys, passphrase = _keys_in(key_file)
            _open(copy, keys, passphrase, file)
        yield part
    except HerdbookError as error:
        error.message = error.message.replace(str(part), str(copy))  # the name that the person knows
        raise
    except OSError as error:
        raise ChoreRefused(
            f"{copy} could not be opened in {beside}: {error.strerror or error}.",
            remedy="See that the disk has room and that you may write there.",
        ) from None
    finally:
        for end in ("", "-wal", "-shm", "-journal"):
            with suppress(OSError):
                Path(f"{part}{end}").unlink()


def _keys_in(path: Path) -> tuple[tuple[Any, ...], str]:
    """The secret keys in a file; where there are none, its first line as a passphrase."""
    import pyrage

    text = _text_of(path)
    lines = _told_in(text)
    try:
        if text.lstrip().startswith(_SSH_KEY):
            return (pyrage.ssh.Identity.from_buffer(text.encode()),), ""
        if any(line.startswith(_KEY) for line in lines):
            return tuple(pyrage.x25519.Identity.from_str(line) for line in lines), ""
    except pyrage.IdentityError as error:
        raise Refused(f"{path} holds no key that can be used: {error}.", field="unlock-with") from None
    if not lines:
        raise Refused(f"There is no key in {path}.", field="unlock-with")
    return (), lines[0]


def _told_in(text: str) -> list[str]:
    """The lines of a file of keys, or of a passphrase, without blank ones and remarks (`#`)."""
    return [line for whole in text.splitlines() if (line := whole.strip()) and not line.startswith("#")]


def _open(locked: Path, keys: Sequence[Any], passphrase: str, into: BinaryIO | _Digest) -> None:
    import pyrage

    wrong = ChoreRefused(
        f"{locked.name} does not open with this key, or it is damaged.",
        remedy="Try the right key, then an older copy.",
    )
    with locked.open("rb") as source:
        by_passphrase = _SCRYPT in source.read(len(_AGE) + len(_SCRYPT))
        source.seek(0)
        if by_passphrase != bool(passphrase):
            what = "a passphrase" if by_passphrase else "a key, not with a passphrase"
            raise ChoreRefused(f"{locked.name} is locked with {what}.", remedy="Name the file that holds it.")
        try:
            if by_passphrase:
                into.write(pyrage.passphrase.decrypt(source.read(), passphrase))
            else:
                pyrage.decrypt_io(source, into, list(keys))
        except pyrage.DecryptError:
            raise wrong from None
        except OSError as error:
            if error.errno is None:  # the library's own, for bytes that were changed
                raise wrong from None
            raise


def _text_of(path: Path) -> str:
    try:
        if path.stat().st_size > 65_536:
            raise Refused(f"{path} is too long to be a key.")
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = getattr(error, "strerror", None) or "it is no text"
        raise Refused(f"{path} cannot be read: {why}.", remedy="Name the file of the key.") from None

"""`herdbook people key`: the line for the SSH server's list of keys that lets one person in, and nowhere else."""

from __future__ import annotations

import base64
import binascii
import shlex
import sys
from pathlib import Path

import click

from herdbook.cli.call import Call, say
from herdbook.errors import Refused
from herdbook.plain import plain

KINDS = (
    "ssh-ed25519",
    "sk-ssh-ed25519@openssh.com",
    "ecdsa-sha2-nistp256",
    "ecdsa-sha2-nistp384",
    "ecdsa-sha2-nistp521",
    "sk-ecdsa-sha2-nistp256@openssh.com",
    "ssh-rsa",
)
"""Kinds of public key that are taken; DSA keys are too weak (OpenSSH itself has left them out since 7.0)."""

LEAST_RSA_BITS = 2048
"""NIST SP 800-131A revision 2, table 2: shorter RSA keys may not be used."""

LONGEST = 20_000
RESTRICTIONS = "restrict,pty"
"""No forwarding of ports, agent or X11, no start-up file, nothing OpenSSH may add later; but a terminal."""


@click.command("key")
@click.argument("name")
@click.option(
    "--public-key",
    "given",
    required=True,
    metavar="FILE|TEXT",
    help="the person's public key: its file (id_ed25519.pub), or its one line as text; - reads standard input",
)
@click.pass_obj
def key(call: Call, name: str, given: str) -> None:
    """Print the line for `authorized_keys` that lets NAME in by SSH.

    One key is one person: whoever holds it writes under that name. Nothing is written; `herdbook manual door` tells
    where the line goes.
    """
    from herdbook.cli.who import person_at

    call.person = name
    with call.reading() as (connection, _):
        person = person_at(call, connection)
    kind, body, comment = public_key(_text(given))
    book = call.path.absolute()
    say(line_for(person.name, book=str(book), python=sys.executable, kind=kind, key=body, comment=comment))


def line_for(name: str, *, book: str, python: str, kind: str, key: str, comment: str = "") -> str:
    """The line of `authorized_keys` (sshd(8), AUTHORIZED_KEYS FILE FORMAT).

    Args:
        name: the person's name as the book has it.
        book: path of the book.
        python: the interpreter that has herdbook installed.
        kind: kind of the key.
        key: the key in base64.
        comment: what is said behind it, for people.
    """
    words = [python, "-I", "-m", "herdbook", "--book", book, "ssh", "--person", name]
    command = f"exec {shlex.join(words)}".replace('"', '\\"')  # sshd takes \" for a quote, and nothing else
    return f'{RESTRICTIONS},command="{command}" {kind} {key} {comment}'.rstrip()


def public_key(text: str) -> tuple[str, str, str]:
    """Kind, key and comment of a public key's line.

    Raises:
        Refused: a private key, several lines, options before the key, a kind that is not taken, or no key at all.
    """
    if "PRIVATE KEY" in text:
        raise _refused(
            "that is a private key", "It never leaves its owner's computer; give the file that ends in .pub."
        )
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    if len(lines) != 1:
        raise _refused(f"{len(lines)} lines, where one key is one line", "Give one public key.")
    kind, _, rest = lines[0].strip().partition(" ")
    body, _, comment = rest.strip().partition(" ")
    if kind not in KINDS:
        raise _refused(f"{plain(kind, longest=40)!r} is not a kind of key that is taken", f"Use {KINDS[0]}.")
    try:
        blob = base64.b64decode(body, validate=True)
    except (binascii.Error, ValueError):
        raise _refused("the key is cut off or has other letters", "Copy the whole line.") from None
    parts = _parts(blob)
    if not parts or parts[0] != kind.encode() or len(parts) < 2:
        raise _refused("the key is not what its first word says", "Copy the whole line.")
    if kind == "ssh-rsa" and _bits(parts[-1]) < LEAST_RSA_BITS:
        raise _refused(f"an RSA key of {_bits(parts[-1])} bits is too short", "Make an ed25519 key.")
    return kind, body, _comment(comment)


def _parts(blob: bytes) -> list[bytes]:
    """The strings a key is made of (RFC 4253 section 6.6, RFC 4251 section 5); none when they do not come out even."""
    parts: list[bytes] = []
    while blob:
        size = int.from_bytes(blob[:4], "big")
        if len(blob) < 4 + size:
            return []
        parts.append(blob[4 : 4 + size])
        blob = blob[4 + size :]
    return parts


def _bits(number: bytes) -> int:
    return int.from_bytes(number, "big").bit_length()


def _comment(text: str) -> str:
    return "".join(letter for letter in plain(text, longest=60) if letter.isascii() and letter not in "\"\\'")


def _text(given: str) -> str:
    """The key's line itself, or what is in the file of that name."""
    if given.strip().startswith(KINDS) or "PRIVATE KEY" in given:
        return given
    try:
        if given == "-":
            return sys.stdin.read(LONGEST)
        path = Path(given).expanduser()
        if not path.is_file():
            raise _refused(f"there is no file {plain(given, longest=80)}", "Give the file that ends in .pub.")
        with path.open(encoding="utf-8") as file:
            return file.read(LONGEST)
    except (OSError, UnicodeDecodeError, ValueError, RuntimeError) as error:
        why = getattr(error, "strerror", None) or "it is not text"
        raise _refused(f"it cannot be read: {why}", "Give the file that ends in .pub.") from None


def _refused(message: str, remedy: str) -> Refused:
    return Refused(f"--public-key: {message}.", remedy=remedy, field="public-key")

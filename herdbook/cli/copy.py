"""`herdbook copy`: a checked copy of the book, made while people work, locked if wanted."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from herdbook.cli.call import Call, complain, say

if TYPE_CHECKING:
    from herdbook.book.copying import Copied
    from herdbook.book.locking import Lock

_FILE = click.Path(path_type=Path)


@click.command()
@click.option(
    "--to",
    default="",
    metavar="FOLDER",
    help="where copies lie; else the setting `copies`, else beside the book",
)
@click.option(
    "--keep", type=int, metavar="N", help="keep so many copies of this book, the new one among them; else all"
)
@click.option(
    "--lock-for",
    multiple=True,
    metavar="KEY",
    help="lock it for an age or ssh public key, or those in a file; may be repeated",
)
@click.option("--passphrase-file", type=_FILE, metavar="FILE", help="lock it with the first line of a file")
@click.option(
    "--unlock-with",
    type=_FILE,
    metavar="FILE",
    help="a secret key to try the locked copy with, if it is at hand",
)
@click.option(
    "--new-key", type=_FILE, metavar="FILE", help="only make a key for locked copies, in a new file"
)
@click.option(
    "--print-timer",
    type=click.Choice(("service", "timer")),
    help="only print the systemd unit that makes this copy every night",
)
@click.pass_obj
def copy(
    call: Call,
    to: str,
    keep: int | None,
    lock_for: tuple[str, ...],
    passphrase_file: Path | None,
    unlock_with: Path | None,
    new_key: Path | None,
    print_timer: str | None,
) -> int:
    """Make a checked copy of the book; people may go on writing meanwhile.

    The copy gets its name only after its file, its chain and its rows were found sound. It is an ordinary book,
    named by when it was made, its last entry and its hash, or that book locked with age. `herdbook restore` puts
    one in the book's place.
    """
    from herdbook.book.copying import copy_book
    from herdbook.settings import copies_path

    if new_key is not None:
        return _make_key(new_key)
    folder = Path(to).expanduser() if to else copies_path(call.settings, call.path)
    lock = _lock(lock_for, passphrase_file, unlock_with)
    if print_timer:
        from herdbook.cli.systemd import service_text, timer_text

        words, reads = _repeated(keep, lock_for, passphrase_file, unlock_with)
        say(
            (
                timer_text() if print_timer == "timer" else service_text(call.path, folder, words, reads)
            ).rstrip()
        )
        return 0
    if not to and not call.settings.copies and call.path.exists():
        folder.mkdir(exist_ok=True)
    made = copy_book(call.path, folder, now_s=call.now_s(), keep=keep, lock=lock)
    _tell(made, lock, same_disk=folder.stat().st_dev == call.path.stat().st_dev)
    return 1 if made.doubts else 0


def _make_key(path: Path) -> int:
    from herdbook.book.locking import new_key

    say(new_key(path.expanduser()))
    say("Give this line to --lock-for. Without the file that was made, no locked copy can ever be read:")
    say("keep it, and print it on paper, away from this computer and away from the copies.")
    return 0


def _lock(lock_for: tuple[str, ...], passphrase_file: Path | None, unlock_with: Path | None) -> Lock | None:
    from herdbook.errors import Refused

    if not lock_for and passphrase_file is None:
        if unlock_with is not None:
            raise Refused(
                "A copy that is not locked needs no key.", remedy="Add --lock-for.", field="unlock-with"
            )
        return None
    from herdbook.book.locking import lock_of

    return lock_of(lock_for, passphrase_file, unlock_with)


def _repeated(
    keep: int | None, lock_for: tuple[str, ...], passphrase_file: Path | None, unlock_with: Path | None
) -> tuple[list[str], list[Path]]:
    """The options again, for the nightly run, which starts in another folder; and the files they name."""
    from herdbook.book.locking import PUBLIC

    words = [] if keep is None else ["--keep", str(keep)]
    reads: list[Path] = []
    for key in lock_for:
        named = not key.startswith(PUBLIC)
        reads += [Path(key).expanduser().absolute()] if named else []
        words += ["--lock-for", str(reads[-1]) if named else key]
    for option, path in (("--passphrase-file", passphrase_file), ("--unlock-with", unlock_with)):
        if path is not None:
            reads.append(path.expanduser().absolute())
            words += [option, str(reads[-1])]
    return words, reads


def _tell(made: Copied, lock: Lock | None, *, same_disk: bool) -> None:
    from herdbook.cli.check import in_words
    from herdbook.plain import plain

    say(plain(str(made.copy.path), longest=4_000))
    say(f"Checked: {made.copy.number} entries, sealed {made.copy.head}.")
    if lock is not None:
        tried = (
            "opened again, and it held the same" if lock.is_tried else "not tried: no secret key was at hand"
        )
        say(f"Locked; {tried}.")
    if made.removed:
        say(f"Removed to make room: {', '.join(path.name for path in made.removed)}.")
    for path, why in made.left:
        say(plain(f"Left where it is: {path.name} {why}."))
    if same_disk:
        say(
            "It lies on the same disk as the book. `herdbook manual copies` tells how to keep one elsewhere too."
        )
    for doubt in made.doubts:
        complain(f"! {in_words(doubt)} The copy carries it on.")

"""`herdbook copy`: a checked copy of the book, made while people work."""

from __future__ import annotations

from pathlib import Path

import click

from herdbook.cli.call import Call, complain, say


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
@click.pass_obj
def copy(call: Call, to: str, keep: int | None) -> int:
    """Make a checked copy of the book; people may go on writing meanwhile.

    The copy gets its name only after its file, its chain and its rows were found sound. It is an ordinary book,
    named by when it was made, its last entry and its hash. `herdbook restore` puts one in the book's place.
    """
    from herdbook.book.copying import copy_book
    from herdbook.cli.check import in_words
    from herdbook.plain import plain
    from herdbook.settings import copies_path

    folder = Path(to).expanduser() if to else copies_path(call.settings, call.path)
    if not to and not call.settings.copies and call.path.exists():
        folder.mkdir(exist_ok=True)
    made = copy_book(call.path, folder, now_s=call.now_s(), keep=keep)
    say(plain(str(made.copy.path), longest=4_000))
    say(f"Checked: {made.copy.number} entries, sealed {made.copy.head}.")
    if made.removed:
        say(f"Removed to make room: {', '.join(path.name for path in made.removed)}.")
    for path, why in made.left:
        say(plain(f"Left where it is: {path.name} {why}."))
    if folder.stat().st_dev == call.path.stat().st_dev:
        say(
            "It lies on the same disk as the book. `herdbook manual copies` tells how to keep one elsewhere too."
        )
    for doubt in made.doubts:
        complain(f"! {in_words(doubt)} The copy carries it on.")
    return 1 if made.doubts else 0

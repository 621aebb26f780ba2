"""Copy or restore over and over until killed by the test; says a word when it begins, and one for each that is done."""

from __future__ import annotations

import itertools
import sys
from pathlib import Path

from herdbook.book.copying import copy_book
from herdbook.book.restoring import compare, restore_book

NOW_S = 1_773_068_400  # what the other tests' clock shows


def run(what: str, book: Path, other: Path) -> None:
    """`copy BOOK FOLDER` or `restore BOOK COPY`."""
    sys.stdout.write("begins\n")
    sys.stdout.flush()
    for turn in itertools.count():
        if what == "copy":
            copy_book(book, other, now_s=NOW_S + turn, keep=3)
        else:
            restore_book(other, book, seen=compare(book, other).book, now_s=NOW_S + turn)
        sys.stdout.write("done\n")
        sys.stdout.flush()


if __name__ == "__main__":
    run(sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3]))

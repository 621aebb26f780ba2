"""The two demo places on a real terminal: `python -m tests.screens.demo_program BOOK DRAFTS [--fault]`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from herdbook.screens.start import start

if TYPE_CHECKING:
    from herdbook.screens.app import Opening


def make_opening() -> Opening:
    """Import the heavy part, once the way in has been made safe."""
    from herdbook.screens import keys
    from tests.screens import demo_places

    book, drafts = Path(sys.argv[1]), Path(sys.argv[2])
    if not book.exists():
        demo_places.make_book(book)
    keys.PLACES = demo_places.PLACES
    changes: dict[str, Any] = {"crash_log": drafts.with_suffix(".log")}
    if "--fault" in sys.argv:
        changes["load_strip"] = lambda _book: 1 // 0
    return demo_places.opening(book, drafts, **changes)


if __name__ == "__main__":
    sys.exit(start(make_opening))

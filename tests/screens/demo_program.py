"""The two demo places on a real terminal: `demo_program BOOK DRAFTS [--fault] [--hanging] [--stock]`, run with -m."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from herdbook.screens.start import start

if TYPE_CHECKING:
    from herdbook.screens.opening import Opening


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
        changes["load_strip"] = lambda _book: {}["47.7 of a farm"]
    if "--hanging" in sys.argv:
        hang_when_leaving()
    return demo_places.opening(book, drafts, **changes)


def hang_when_leaving() -> None:
    """Never come to keeping what was typed by itself: neither while people type nor on leaving."""
    from herdbook.screens import ending
    from herdbook.screens.app import HerdbookApp
    from herdbook.screens.draft_keeper import DraftKeeper

    ending._LAST_RESORT_S = 0.3
    HerdbookApp.leave_now = lambda _app, _status: time.sleep(60)
    DraftKeeper.keep_aside = lambda _keeper, _drafts: None


def run_with_the_frameworks_own_driver() -> int:
    """What the wire is like without ours, for comparing the pictures."""
    from textual.drivers.linux_driver import LinuxDriver

    from herdbook.screens.app import HerdbookApp

    app = HerdbookApp(make_opening())
    app.driver_class = LinuxDriver
    app.run()
    return app.return_code or 0


if __name__ == "__main__":
    sys.exit(run_with_the_frameworks_own_driver() if "--stock" in sys.argv else start(make_opening))

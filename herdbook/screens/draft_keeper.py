"""Keeping what is unfinished while people type: in a thread, newest last, and once more before the end."""

from __future__ import annotations

import threading
from collections.abc import Callable

from herdbook.errors import HerdbookError

Drafts = dict[str, dict[str, str]]


class DraftKeeper:
    """Keeps drafts so that an older state never overwrites a newer one.

    Args:
        keep: writes them; may be slow.
    """

    def __init__(self, keep: Callable[[Drafts], None]) -> None:
        self._write = keep
        self._kept: Drafts | None = {}
        self._lock = threading.Lock()
        self._number = 0
        self._is_over = False
        self._last: Drafts | None = None
        self._is_kept = False

    def keep_aside(self, drafts: Drafts) -> None:
        """Keep them in a thread of their own, if they changed; after the last, nothing more.

        A program that ends takes its forms down, and what is open then is no longer what people typed.
        """
        if drafts != self._kept and not self._is_over:
            self._kept = drafts
            self._number += 1
            number = self._number
            threading.Thread(target=lambda: self._keep(drafts, number), name="drafts", daemon=True).start()

    def _keep(self, drafts: Drafts, number: int) -> None:
        """Keep drafts unless newer ones were kept meanwhile; what could not be kept is tried again later."""
        with self._lock:
            if number < self._number:
                return
            try:
                self._write(drafts)
            except HerdbookError:
                self._kept = None

    def keep_now(self, drafts: Drafts) -> None:
        """Keep them at once, as the last.

        Called again, it keeps what it was given first, if that could not be kept: by then forms may be down.
        """
        self._is_over = True
        with self._lock:
            if self._last is None:
                self._last = drafts
            if self._is_kept:
                return
            self._number += 1
            self._write(self._last)
            self._is_kept = True

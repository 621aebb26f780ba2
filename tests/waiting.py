"""Waiting for facts in tests of the screens, never for time."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable

from textual.pilot import Pilot


async def until(
    pilot: Pilot[object], fact: Callable[[], object], what: str, *, within_s: float = 10.0
) -> None:
    """Let the program work until `fact` is true; fail with `what` when it does not come true."""
    end = time.monotonic() + within_s
    while not fact():
        assert time.monotonic() < end, f"waited {within_s:.0f} s for {what}"
        await pilot.pause()
        await asyncio.sleep(0.005)


def rows(app: object) -> list[str]:
    """The rows of the screen as text, blanks at the end cut."""
    screen = app.screen  # type: ignore[attr-defined]
    return [
        "".join(segment.text for segment in strip).rstrip() for strip in screen._compositor.render_strips()
    ]


def text(app: object) -> str:
    """The whole screen as text."""
    return "\n".join(rows(app))

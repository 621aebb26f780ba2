"""What the screens are opened with: functions that read and write the book, and a few settings."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.widget import Widget

    from herdbook.screens.place import Place
    from herdbook.screens.tank_strip import TankStrip


@dataclass
class Opening:
    """What the program is opened with; what takes long is a function, called after the first frame.

    Args:
        open_data: opens what the places read from; called once, in the reading thread, which keeps it.
        first_strip: what can be told of the tank sooner than all that; shown first, once.
        load_strip: works out the tank strip from that; in the reading thread.
        version: a number from that which changes when another connection wrote (``PRAGMA data_version``).
        keep_drafts: takes what was typed and not written, by place; called soon after typing and on leaving.
        drafts: what an earlier session kept, by place.
        slips: what T (``temperature``) and N (``note``) open at the bottom edge of any place, and ! (``alarms``)
            over it; one that gives back None has opened what it opens itself.
        first: id of the place shown first.
        light: day colours in place of night.
        bell: ring once when the tank turns too slow, and once when it turns late.
        signs: ``plain`` or ``unicode``; anything else leaves it to the terminal.
        rest_after_s: seconds without a key after which the first place is shown again; None for never.
        crash_log: where a fault of the program is written down; None for nowhere.
        extra: whatever else the places of this program need, such as who is at the keyboard.
    """

    open_data: Callable[[], Any] = lambda: None
    first_strip: Callable[[Any], TankStrip] | None = None
    load_strip: Callable[[Any], TankStrip] | None = None
    version: Callable[[Any], int] | None = None
    keep_drafts: Callable[[dict[str, dict[str, str]]], None] | None = None
    drafts: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    slips: Mapping[str, Callable[[Place], Widget | None]] = field(default_factory=dict)
    first: str = "today"
    light: bool = False
    signs: str = ""
    bell: bool = True
    rest_after_s: float | None = None
    crash_log: Path | None = None
    extra: Any = None

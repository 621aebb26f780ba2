"""What a person has changed in rations and not written: kept by ration, and put back over the version in use."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from herdbook.errors import HerdbookError
from herdbook.screens.ration_limits import DeskLimits

if TYPE_CHECKING:
    from herdbook.reports.what_if import WhatIf


@dataclass(frozen=True, slots=True)
class Kept:
    """One ration's draft.

    Args:
        entry: the entry of the version it stands beside.
        begun: the entry of the version it was drafted from.
        rows: feed, milligrams, basis and whether it is held, in loading order.
    """

    entry: int
    begun: int
    rows: tuple[tuple[int, int, str, bool], ...]


@dataclass(slots=True)
class RationDrafts:
    """Drafts by ration, and where the cursor was.

    Args:
        by_ration: ration -> its draft.
        at: the ration and the feed in view; none before anything was shown.
        limits: ration -> what its suggestions keep to besides the targets.
    """

    by_ration: dict[int, Kept] = field(default_factory=dict)
    at: tuple[int, int] | None = None
    limits: dict[int, DeskLimits] = field(default_factory=dict)

    def keep(self, ration: int, tried: WhatIf, entry: int) -> None:
        """Keep what was changed in a ration; forget it where nothing differs from the version in use any more."""
        if is_touched(tried):
            rows = tuple((row.feed, row.mg, row.basis, row.is_locked) for row in tried.rows())
            self.by_ration[ration] = Kept(entry, self.begun_from(ration, entry), rows)
        else:
            self.by_ration.pop(ration, None)

    def begun_from(self, ration: int, entry: int) -> int:
        """The entry of the version that a ration's draft was begun from; `entry` where there is no draft yet."""
        kept = self.by_ration.get(ration)
        return entry if kept is None else kept.begun

    def put_in(self, ration: int, tried: WhatIf, entry: int) -> str:
        """Put a kept draft over the version in use; what must be told of it comes back, empty when nothing."""
        kept = self.by_ration.get(ration)
        if kept is None:
            return ""
        told = ""
        for feed, mg, basis, is_locked in kept.rows:
            try:
                if not mg and feed not in tried.feeds:
                    continue
                tried.change(feed, mg, basis)  # type: ignore[arg-type]  # as `keep` wrote it
                tried.lock(feed, locked=is_locked)
            except HerdbookError as error:
                told = str(error)
        if not is_touched(tried):  # the version that came into use is the draft itself
            del self.by_ration[ration]
            return ""
        if kept.entry != entry:
            self.by_ration[ration] = replace(kept, entry=entry)
            told = told or f"{tried.name}: another version came into use; the draft stands beside that now."
        return told

    def as_text(self) -> str:
        """As it is kept with a place's other drafts; empty when there is nothing to keep."""
        limits = {str(ration): its.as_plain() for ration, its in self.limits.items() if its.is_set}
        if not self.by_ration and not limits:
            return ""
        kept = {str(ration): [one.entry, one.rows, one.begun] for ration, one in self.by_ration.items()}
        return json.dumps({"kept": kept, "at": self.at, "limits": limits})

    @classmethod
    def from_text(cls, text: str) -> RationDrafts:
        """As it was kept; a text that is none gives nothing back."""
        try:
            found: Mapping[str, Any] = json.loads(text or "{}")
            kept = {
                int(ration): Kept(
                    int(entry),
                    int(begun[0] if begun else entry),
                    tuple((int(f), int(mg), str(b), bool(x)) for f, mg, b, x in rows),
                )
                for ration, (entry, rows, *begun) in found.get("kept", {}).items()
            }
            at = found.get("at")
            limits = {
                int(ration): DeskLimits.from_plain(its) for ration, its in found.get("limits", {}).items()
            }
        except (ValueError, TypeError, AttributeError, IndexError):
            return cls()
        return cls(kept, (int(at[0]), int(at[1])) if at else None, limits)


def is_touched(tried: WhatIf) -> bool:
    """Whether anything is to be kept: a change, a feed that is held, or one offered beside the ration."""
    rows = tried.rows()
    beside = any(not row.mg and row.in_use_as_fed_kg is None for row in rows)
    return tried.is_changed or beside or any(row.is_locked for row in rows)

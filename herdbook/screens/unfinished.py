"""What one place holds that was typed and is not written: an open slip, slips stepped back from, a number field."""

from __future__ import annotations

import json
from collections.abc import Mapping, Set
from dataclasses import dataclass, field

SLIP_KEYS = ("chore", "corrects", "request", "fixed", "texts", "place", "offered")
TYPED, TYPED_REQUEST, LEFT, OWN = "typed", "typed_request", "left", "own"


@dataclass
class Unfinished:
    """A place's drafts.

    Args:
        slip: the open slip's form and texts, as `Form.as_draft` gives them; empty when none is open.
        left: slips that were stepped back from, by the chore they are of.
        typed: what stands in the number field.
        request: the key that makes writing the number field safe to repeat.
        own: what else the place keeps, in its own words.
    """

    slip: dict[str, str] = field(default_factory=dict)
    left: dict[str, dict[str, str]] = field(default_factory=dict)
    typed: str = ""
    request: str = ""
    own: str = ""

    def as_draft(self) -> dict[str, str]:
        """Flat, as drafts are kept; empty when nothing is unfinished."""
        draft = dict(self.slip)
        if self.left:
            draft[LEFT] = json.dumps(self.left)
        if self.typed:
            draft |= {TYPED: self.typed, TYPED_REQUEST: self.request}
        if self.own:
            draft[OWN] = self.own
        return draft

    @classmethod
    def from_draft(cls, draft: Mapping[str, str]) -> Unfinished:
        """As it was kept."""
        slip = {key: draft[key] for key in SLIP_KEYS if key in draft}
        left = json.loads(draft.get(LEFT) or "{}")
        return cls(slip, left, draft.get(TYPED, ""), draft.get(TYPED_REQUEST, ""), draft.get(OWN, ""))

    @property
    def requests(self) -> set[str]:
        """The keys under which it would be written."""
        kept = [self.slip, *self.left.values()]
        return {one["request"] for one in kept if one} | ({self.request} if self.request else set())

    def without(self, written: Set[str]) -> Unfinished:
        """What is left of it once these requests are known to be written."""
        return Unfinished(
            {} if self.slip.get("request") in written else self.slip,
            {name: one for name, one in self.left.items() if one["request"] not in written},
            "" if self.request in written else self.typed,
            "" if self.request in written else self.request,
            self.own,
        )

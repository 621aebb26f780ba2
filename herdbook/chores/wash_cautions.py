"""What must never be mixed in a wash: told before it, and after one whose record looks like it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

NEVER_MIX = (
    "Never let acid and chlorine cleaner meet (poisonous gas), nor chlorine and ammonia: rinse between them; "
    "the labels govern."
)
"""The hazard: West Virginia LTAP safety talk. Rinsing between the two: milk-house practice, from memory."""
CHLORINE = ("chlor", "bleach")


def wash_caution(steps: Sequence[str], chemicals: Sequence[str]) -> str:
    """A caution where an acid and a chlorine cleaner stand in one wash without a rinse between; else empty.

    Args:
        steps: what was done, in order.
        chemicals: as their labels name them; a name alone does not tell everything a product holds.
    """
    named = " ".join(chemicals).lower()
    acid = "acid" in steps or "acid" in named
    chlorine = any(word in named for word in CHLORINE) or "sanitizer" in steps
    if not (acid and chlorine):
        return ""
    return "" if _rinsed_between(steps) else NEVER_MIX


def _rinsed_between(steps: Sequence[str]) -> bool:
    """Whether a rinse stands between the acid and every other chemical step."""
    if "acid" not in steps:
        return False
    chemical = [(at, step) for at, step in enumerate(steps) if step in ("acid", "detergent", "sanitizer")]
    for (at, step), (next_at, next_step) in itertools.pairwise(chemical):
        if "acid" in (step, next_step) and step != next_step and "rinse" not in steps[at:next_at]:
            return False
    return True

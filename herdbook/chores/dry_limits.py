"""By how much a dry matter must move before it counts, and before somebody is asked."""

from __future__ import annotations

STEP_PPM = 50_000
"""Taken where the farm sets no step of its own: wet feeds swing 3 to 5 points a day (Weiss, Hay & Forage Grower)."""
TESTER_PPM = 20_000
"""A farm's tester comes within 1 to 2 points of the oven (Weiss, Hay & Forage Grower): less is no change."""
SPREAD_PPM = 30_000
"""Subsamples further apart than this were not of one feed, or one was not dry: a house rule, no source."""

"""References on cooling, measuring, testing and selling milk."""

from __future__ import annotations

from herdbook.science.source import Source

MILK: dict[str, Source] = {}

"""Every reference the science stands on, named once: who wrote what, where it is, and whether it was read."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from herdbook.science.source import Source
from herdbook.science.sources_feeding import FEEDING
from herdbook.science.sources_milk import MILK

SOURCES: Mapping[str, Source] = MappingProxyType({**FEEDING, **MILK})

__all__ = ["SOURCES", "Source"]

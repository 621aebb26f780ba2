"""The book's tables as SQLModel classes, one subject a file; the migrations make the tables themselves.

*Things* (a pen, a feed, a load) have an identity and nothing else. *Facts* point at things and carry what was
written, so that correcting a fact never orphans another. Every row names the entry that wrote it.
"""

from __future__ import annotations

from herdbook.book.tables import farm, feeding, feeds, herd, milk, rations
from herdbook.book.tables.chain import Draft, Entry, Row
from herdbook.book.tables.farm import FarmCard, Person, PersonCard
from herdbook.book.tables.feeding import Drop, Load, LoadPen, LoadPlan, LoadPlanLine, LoadWeight, Refusal
from herdbook.book.tables.feeds import (
    Analysis,
    AnalysisValue,
    DrySample,
    DryTest,
    Feed,
    FeedCard,
    FeedMix,
    FeedPrice,
    MixPart,
    ReadFile,
)
from herdbook.book.tables.herd import HeadCount, Pen, PenCard, PenCows
from herdbook.book.tables.milk import (
    Milking,
    MilkingEnd,
    MilkingStart,
    Pickup,
    PickupTicket,
    StickMark,
    Tank,
    TankCard,
    Temperature,
)
from herdbook.book.tables.rations import (
    Mixer,
    MixerCard,
    PenRation,
    Ration,
    RationCard,
    RationItem,
    RationVersion,
    Target,
    TargetSet,
)

__all__ = [
    "Analysis",
    "AnalysisValue",
    "Draft",
    "Drop",
    "DrySample",
    "DryTest",
    "Entry",
    "FarmCard",
    "Feed",
    "FeedCard",
    "FeedMix",
    "FeedPrice",
    "HeadCount",
    "Load",
    "LoadPen",
    "LoadPlan",
    "LoadPlanLine",
    "LoadWeight",
    "Milking",
    "MilkingEnd",
    "MilkingStart",
    "MixPart",
    "Mixer",
    "MixerCard",
    "Pen",
    "PenCard",
    "PenCows",
    "PenRation",
    "Person",
    "PersonCard",
    "Pickup",
    "PickupTicket",
    "Ration",
    "RationCard",
    "RationItem",
    "RationVersion",
    "ReadFile",
    "Refusal",
    "Row",
    "StickMark",
    "Tank",
    "TankCard",
    "Target",
    "TargetSet",
    "Temperature",
    "farm",
    "feeding",
    "feeds",
    "herd",
    "milk",
    "rations",
]

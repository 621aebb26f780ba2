"""A part of a screen that is drawn from one tank as it stands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from herdbook.chores.ground import Ground
from herdbook.screens.parts.text import Painted

if TYPE_CHECKING:
    from herdbook.reports.cooling import TankState


class TankPart(Painted):
    """Keeps the state it is given, and paints itself anew with each."""

    def __init__(self, id: str) -> None:
        super().__init__(id=id)
        self.state: TankState | None = None
        self.ground: Ground | None = None

    def show(self, state: TankState | None, ground: Ground) -> None:
        """Show another state of the tank."""
        self.state, self.ground = state, ground
        self.freshen()

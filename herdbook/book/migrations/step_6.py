"""Version 6: a load says which feeding of its day it was for."""

from __future__ import annotations

import sqlite3


def add_the_feeding_of_a_load(connection: sqlite3.Connection) -> None:
    """Add the feeding to loads; old loads lack it."""
    connection.execute("ALTER TABLE load_plan ADD COLUMN feeding INTEGER CHECK (feeding BETWEEN 1 AND 12)")

"""A book with hostile text in it, put there past every door of ours, and what such text must never do."""

from __future__ import annotations

import sqlite3
import unicodedata
from contextlib import closing
from pathlib import Path

HOSTILE = "[bold red]Boo[/] \x1b]52;c;aGk=\x07\x1b[2J\u202egnp.exe\u202c [@click=app.bell]x[/]"
NAMED = ("farm_card", "pen_card", "feed_card", "ration_card", "mixer_card", "tank_card", "person_card")


def spoil(path: Path) -> None:
    """Put hostile text straight into the file, past every door of ours."""
    with closing(sqlite3.connect(path)) as connection:
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            connection.execute(f'DROP TRIGGER "{name}"')
        connection.execute("PRAGMA ignore_check_constraints = ON")
        for table in NAMED:
            connection.execute(f"UPDATE {table} SET name = name || ?", (HOSTILE,))
        connection.execute("UPDATE entry SET said = said || ?, note = ?", (HOSTILE, HOSTILE))
        connection.execute("UPDATE feed_card SET caution = ?", (HOSTILE,))
        connection.execute("UPDATE pickup_ticket SET ticket = ?, hauler = ?", (HOSTILE, HOSTILE))
        connection.execute("UPDATE treatment_card SET drug = ?, reason = ?", (HOSTILE, HOSTILE))
        connection.execute("UPDATE temperature SET source = ?", (HOSTILE,))
        connection.execute("UPDATE wash SET words = ?, chemicals = ?", (HOSTILE, HOSTILE))
        connection.execute("UPDATE thermometer_check SET thermometer = ?, reference = ?", (HOSTILE, HOSTILE))
        connection.execute("UPDATE held_milk SET cow = ?, words = ?", (HOSTILE, HOSTILE))
        connection.commit()


def harmful(page: str) -> list[str]:
    """Characters that a terminal or a reader's eye could be led astray by."""
    return [
        one for one in page.replace("\n", "") if unicodedata.category(one) in ("Cc", "Cf", "Cs", "Zl", "Zp")
    ]

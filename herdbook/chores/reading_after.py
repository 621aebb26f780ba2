"""What the next scale reading of a load makes of its feed, once the reading before it is put right.

A mixer's scale shows everything together. Who wrote 2,690 after the silage and finds that it was 2,680 has also written
the next feed 10 too light: its own reading was right, and the difference to the one before it was not. Readings after
that one stand: both ends of their differences do.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from herdbook.book.reading import entries as read_entries
from herdbook.book.reading.feeding import LoadRow, load_by_id
from herdbook.units import FarmUnits


@dataclass(frozen=True, slots=True)
class ReadingAfter:
    """A feed weighed by the scale whose weight is another one since the reading before it was corrected.

    Args:
        entry: the entry it stands in.
        feed: which feed.
        written_g: its own weight as written.
        by_scale_g: its own weight by its scale reading; below zero when that lies below the reading before.
    """

    entry: int
    feed: int
    written_g: int
    by_scale_g: int

    def in_words(self, name: str, units: FarmUnits) -> str:
        """What stays, and what its own reading would make of it."""
        mass = units.mass
        stays = f"{name} after it stays {mass(self.written_g)}"
        if self.by_scale_g < 0:
            return f"{stays}; its scale reading is below this one: see which of the two is right."
        return (
            f"{stays}; by its scale reading it is {mass(self.by_scale_g)}: if that was right, "
            f"`herdbook write weigh --corrects {self.entry}` moves it."
        )


def reading_after(
    connection: Any, load: LoadRow, entry: int, loaded_g: int, weighed_at: int
) -> ReadingAfter | None:
    """The next feed weighed by the scale after a weight, if its own weight is not what the scale then says.

    Feeds weighed by themselves in between keep their weight, as nothing about them depends on the scale's total.

    Args:
        connection: the book.
        load: the load as it stands.
        entry: where the weight stands that was or is being corrected.
        loaded_g: the right weight, in grams.
        weighed_at: when it went in, in UTC seconds.

    Returns:
        The feed and both weights; None when nothing differs.
    """
    rows = {row["entry"]: row for row in load.weighed}
    if entry not in rows:
        return None

    def turn(number: int) -> tuple[int, int]:
        first = read_entries.first_of_corrections(connection, number)
        at = weighed_at if number == entry else rows[number]["weighed_at"]
        return at, first["number"] if first is not None else number

    order = sorted(rows, key=turn)
    place = order.index(entry)
    in_g = sum(rows[number]["loaded_g"] for number in order[:place]) + loaded_g
    for number in order[place + 1 :]:
        row, scale_g = rows[number], _scale_read(connection, number)
        if scale_g is None:
            in_g += row["loaded_g"]
        elif scale_g - in_g == row["loaded_g"]:
            return None
        else:
            return ReadingAfter(number, row["feed"], row["loaded_g"], scale_g - in_g)
    return None


def after_correction(connection: Any, corrected: int) -> ReadingAfter | None:
    """The same, asked once the correction of an entry is written."""
    before = read_entries.entry(connection, corrected)
    if before is None or before["chore"] != "weigh" or before["struck_by"] is None:
        return None
    weights = read_entries.rows_of(connection, before["struck_by"]).get("load_weight")
    if not weights:
        return None
    new = weights[0]
    load = load_by_id(connection, new["load"])
    if load is None:
        return None
    return reading_after(connection, load, before["struck_by"], new["loaded_g"], new["weighed_at"])


def _scale_read(connection: Any, number: int) -> int | None:
    """What the scale read in an entry, in grams; None for a weight taken by itself."""
    written = read_entries.entry(connection, number)
    if written is None or written["chore"] != "weigh":
        return None
    scale_g = json.loads(written["asked"]).get("scale")
    return None if scale_g is None else int(scale_g)

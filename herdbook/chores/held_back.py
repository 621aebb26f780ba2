"""What every milking and pickup is told of milk held back, and the refusal of a blocked tank."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from herdbook.book.reading import held as read_held
from herdbook.book.reading.held import TreatmentRow
from herdbook.chores.ground import Ground
from herdbook.errors import ChoreRefused

if TYPE_CHECKING:
    from herdbook.chores.doing import Doing

NEVER_OURS = "The label and the veterinarian govern; the book only counts the hours they state."

CALL_THE_BUYER = (
    "Call your buyer before anyone pumps this milk: it leaves the farm only on their word. Then write the result "
    "(milk-test), or pour it away (dump)."
)


def held_words(running: Sequence[TreatmentRow], ground: Ground) -> str:
    """The cows whose milk stays out while these treatments run, in one line; empty where there are none."""
    cows: dict[str, int] = {}
    for one in running:
        cows[one.cow] = max(cows.get(one.cow, 0), one.milk_until_s)
    return ", ".join(f"cow {cow} until {ground.clock.shown(until)}" for cow, until in cows.items())


def kept_out(doing: Doing, at_s: int) -> str:
    """What a milking or pickup says beside itself while a treatment runs."""
    words = held_words(read_held.running(doing.book, at_s), doing.ground)
    return f" Milk stays out: {words}." if words else ""


def block_words(connection: Any, ground: Ground, tank: int, at_s: int) -> str:
    """Why a tank is blocked, and what to do; empty where it is not."""
    found = read_held.blocking(connection, tank, at_s)
    if not found:
        return ""
    name, newest = ground.name_of("tank", tank), found[-1]
    went = ground.clock.shown(newest["went_at"])
    return f"{name} is blocked: held milk of cow {newest['cow']} went in {went} (entry {newest['entry']})."


def see_not_blocked(doing: Doing, tank: int, picked_at: int) -> None:
    """See that no held milk is in what a pickup takes; nobody may override it.

    Raises:
        ChoreRefused: held milk went in, and neither a clear result nor pouring it away was written.
    """
    if doing.corrects is not None:
        before = read_held.written_pickup(doing.book, doing.corrects)
        if before is not None and (before["tank"], before["picked_at"]) == (tank, picked_at):
            return  # the milk left then; its ticket may still be put right
    words = block_words(doing.book, doing.ground, tank, picked_at)
    if words:
        raise ChoreRefused(words, remedy=CALL_THE_BUYER)

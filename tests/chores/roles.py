"""Who may do what, as a table typed by hand: every chore and every role."""

from __future__ import annotations

from typing import Any

from herdbook.chores.doing import ROLES
from tests.chores.samples import BEFORE, GOOD
from tests.yard import ADA, BEN, CLEO, DOV, Yard

PEOPLE = dict(zip(ROLES, (ADA, BEN, CLEO, DOV), strict=True))

# chore: owner, nutritionist, hand, reader
MAY = """
farm            yes no  no  no
person          yes no  no  no
pen             yes no  yes no
head            yes yes yes no
pen-cows        yes yes yes no
feed            yes yes no  no
price           yes yes no  no
mix             yes yes no  no
analysis        yes yes no  no
analyses        yes yes no  no
dry-matter      yes yes yes no
ration          yes yes no  no
pen-ration      yes yes no  no
mixer           yes yes no  no
targets         yes yes no  no
mixer-order     yes yes yes no
feeding-shares  yes yes no  no
load            yes no  yes no
weigh           yes no  yes no
load-sheet      yes no  yes no
drop            yes no  yes no
refusal         yes no  yes no
bunk-score      yes yes yes no
push-up         yes no  yes no
trough          yes no  yes no
call-advice     yes yes no  no
walk            yes no  yes no
walk-close      yes no  yes no
weather         yes yes yes no
tank            yes no  yes no
temperature     yes no  yes no
pickup          yes no  yes no
milking         yes no  yes no
milked          yes no  yes no
note            yes yes yes no
alarm           yes no  yes no
alarm-step      yes no  yes no
acknowledge     yes no  yes no
alarm-rules     yes no  no  no
treatment       yes no  yes no
milk-back       yes no  yes no
held-milk-in    yes no  yes no
milk-test       yes no  yes no
dump            yes no  yes no
level           yes no  yes no
thermometer-check yes no yes no
wash            yes no  yes no
cooling-rule    yes no  no  no
cooling-goal    yes no  no  no
milk-result     yes yes yes no
milk-limits     yes no  no  no
emptying-rule   yes no  no  no
readings        yes no  yes no
reading-profile yes no  yes no
milk-price      yes no  no  no
milk-cheque     yes no  no  no
delivery        yes yes yes no
stock-count     yes yes yes no
new-face        yes yes yes no
rain            yes yes yes no
strike          yes yes yes no
"""
TABLE = {
    words[0]: dict(zip(ROLES, words[1:], strict=True)) for words in map(str.split, MAY.split("\n")) if words
}
CELLS = [(name, role, may == "yes") for name, row in TABLE.items() for role, may in row.items()]
IDS = [f"{name}-{role}" for name, role, _ in CELLS]


def ready_for(yard: Yard, name: str) -> dict[str, Any]:
    """Do what must be there before a chore can be done; the words that then do it."""
    if name in BEFORE:
        chore, texts = BEFORE[name]
        yard.do(chore, **texts)
    if name == "strike":  # of a kind that all who may strike at all may write
        return {"entry": str(yard.do("note", **GOOD["note"]).entry)}
    return GOOD[name]


def authors_of_newest(yard: Yard) -> tuple[int, str]:
    """Who wrote the newest entry, and by which chore."""
    row = yard.row("SELECT person, chore FROM entry ORDER BY number DESC LIMIT 1")
    return row["person"], row["chore"]

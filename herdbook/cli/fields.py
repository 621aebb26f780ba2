"""From options and JSON to a chore's draft: what is typed, and what a correction keeps of the entry before."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

from herdbook.book.reading import entries as read_entries
from herdbook.book.reading import farm as read_farm
from herdbook.chores.doing import NEVER_STRUCK, Chore
from herdbook.chores.drafting import ChoreDraft, kept_as_typed, raise_all, understand
from herdbook.chores.ground import Ground
from herdbook.chores.repeated import Several
from herdbook.errors import ChoreRefused, Refused

Texts = Mapping[str, str | Sequence[str]]

LARGEST_JSON = 10_000_000
"""Bytes; a year of a farm's chores is less."""


def read_json(where: str) -> tuple[list[dict[str, Any]], bool]:
    """The objects of a JSON file, or of standard input for "-"; and whether they came as a list.

    Raises:
        Refused: no such file, not JSON, or neither an object nor a list of objects.
    """
    try:
        if where == "-":
            text = sys.stdin.read(LARGEST_JSON + 1)
        else:
            with Path(where).open(encoding="utf-8") as file:
                text = file.read(LARGEST_JSON + 1)
    except (OSError, UnicodeDecodeError, ValueError) as error:
        why = getattr(error, "strerror", None) or "it is not UTF-8 text"
        raise Refused(
            f"--json: {where} cannot be read: {why}.", remedy="Check the name.", field="json"
        ) from None
    if len(text) > LARGEST_JSON:
        raise Refused("--json: that is more than 10 MB.", remedy="Write it in parts.", field="json")
    try:
        made = json.loads(
            text, parse_float=Decimal, parse_constant=_no_constant, object_pairs_hook=_no_key_twice
        )
    except (ValueError, RecursionError) as error:
        raise Refused(
            f"--json: that is not JSON: {error}.", remedy="See `herdbook manual json`.", field="json"
        ) from None
    listed = made if isinstance(made, list) else [made]
    if not listed or not all(isinstance(one, dict) for one in listed):
        raise Refused(
            "--json: an object of fields, or a list of such objects, is wanted.",
            remedy="See `herdbook manual json`.",
            field="json",
        )
    return listed, isinstance(made, list)


def _no_constant(word: str) -> Any:
    raise ValueError(f"{word} is not a number")


def _no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) != len(pairs):
        raise ValueError("a key stands twice in one object")
    return made


def texts_of(given: Mapping[str, Any], ground: Ground) -> dict[str, str | list[str]]:
    """A JSON object's values as a person would type them on this farm.

    Raises:
        Refused: a value that is no text, number, yes or no, list of them, or object of name and amount.
    """
    return {name.replace("-", "_"): _text(name, value, ground) for name, value in given.items()}


def _text(name: str, value: Any, ground: Ground) -> str | list[str]:
    if isinstance(value, list):
        return [_one(name, one, ground) for one in value]
    if isinstance(value, dict):
        return [f"{key}={_one(name, one, ground)}" for key, one in value.items()]
    return "" if value is None else _one(name, value, ground)


def _one(name: str, value: Any, ground: Ground) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    if isinstance(value, int | Decimal):
        # a number in JSON has a point; on a farm with a comma "3.125" typed would be three thousand
        return _digits(Decimal(value)).replace(".", ground.units.decimal)
    raise Refused(
        f"{name}: that cannot be written.",
        remedy="Give a text, a number, true or false, or a list.",
        field=name,
    )


def _digits(value: Decimal) -> str:
    """Without exponent; one so large or small that it cannot be meant is left for the field to refuse."""
    return f"{value:f}" if abs(value.adjusted()) < 40 else str(value)


def draft_of(chore: Chore, texts: Texts, ground: Ground, before: Mapping[str, Any] | None) -> ChoreDraft:
    """The checked draft; for a correction, fields that were not given are as in the entry before.

    Args:
        chore: the chore.
        texts: field -> what was typed; a field typed empty goes back to what it is when not given.
        ground: the farm's units, clock and names.
        before: the draft of the entry that is corrected, as JSON; none for a new entry.

    Raises:
        Refused: every field that cannot be used, by name.
    """
    if before is None:
        return understand(chore, texts, ground)
    asks = chore.draft.asks()
    unknown = {name: text for name, text in texts.items() if name not in asks}
    if unknown:
        understand(chore, unknown, ground)  # says which and what is near
    texts = {**texts, **kept_as_typed(chore.draft, texts, ground)}
    values = {name: value for name, value in before.items() if name in asks and name not in texts}
    faults: list[Refused] = []
    for name, text in texts.items():
        try:
            lines = [one for one in ([text] if isinstance(text, str) else text) if one.strip()]
            ask = asks[name]
            if lines and isinstance(ask, Several):
                values[name] = ask.understand_all(lines, ground)
            elif len(lines) > 1:
                raise Refused(
                    f"{ask.label}: given {len(lines)} times.", remedy="Give it once.", field=ask.label
                )
            elif lines:
                values[name] = ask.understand(lines[0], ground)
            elif chore.draft.required(name):
                raise Refused(
                    f"{ask.label}: nothing was given.", remedy=f"Give the {ask.label}.", field=ask.label
                )
        except Refused as fault:
            faults.append(fault)
    raise_all(faults)
    return chore.draft.model_validate(values)


def settings_before(connection: Any) -> dict[str, Any]:
    """What was asked in the entry that set the farm as it stands: settings that are not given stay as they are."""
    found = read_entries.entry(connection, read_farm.farm(connection).entry)
    asked: dict[str, Any] = json.loads(found["asked"]) if found is not None else {}
    return asked


def asked_before(connection: Any, chore: Chore, number: int) -> dict[str, Any]:
    """What was asked in the entry that is corrected.

    Raises:
        ChoreRefused: no such entry, struck already, or of another kind.
    """
    found = read_entries.entry(connection, number)
    if found is None:
        raise ChoreRefused(f"There is no entry {number}.", remedy="See `herdbook show entries`.")
    if found["struck_by"] is not None:
        raise ChoreRefused(
            f"Entry {number} was struck by entry {found['struck_by']}.",
            remedy="Correct the one that stands now.",
        )
    if found["chore"] != chore.name:
        right = f"`herdbook write {found['chore']} --corrects {number}`"
        raise ChoreRefused(
            f"Entry {number} is of another kind ({found['chore']}).",
            remedy="Write what is right instead."
            if found["chore"] in NEVER_STRUCK
            else f"Correct it with {right}.",
        )
    asked: dict[str, Any] = json.loads(found["asked"])
    return asked

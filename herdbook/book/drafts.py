"""Unfinished forms, kept beside the record until they are written or thrown away."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

from herdbook.book.opening import connect, plain_words


def keep_drafts(path: Path, person: int, drafts: Mapping[str, Mapping[str, Any]], *, saved_ms: int) -> None:
    """Make these the drafts of a person: form name -> texts; forms not named have nothing unfinished any more.

    Raises:
        HerdbookError: the book could not be written.
    """
    with plain_words(path), closing(connect(path)) as connection:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("DELETE FROM draft WHERE person = ?", (person,))
        connection.executemany(
            "INSERT INTO draft (person, form, request, texts, saved_ms) VALUES (?, ?, ?, ?, ?)",
            [
                (person, form, str(texts.get("request") or form), json.dumps(dict(texts)), saved_ms)
                for form, texts in drafts.items()
            ],
        )
        connection.execute("COMMIT")


def drafts_of(path: Path, person: int) -> dict[str, dict[str, Any]]:
    """The unfinished forms of a person by form name; one that a damaged disk has spoilt is passed by."""
    with plain_words(path), closing(connect(path, "ro")) as connection:
        found = connection.execute("SELECT form, texts FROM draft WHERE person = ?", (person,)).fetchall()
    kept: dict[str, dict[str, Any]] = {}
    for form, texts in found:
        with suppress(ValueError):
            read = json.loads(texts)
            if isinstance(read, dict):
                kept[form] = read
    return kept


def written_of(path: Path, requests: Collection[str]) -> set[str]:
    """Those of the requests that an entry was written under: their forms are finished, whatever a draft says."""
    asked = list(requests)
    with plain_words(path), closing(connect(path, "ro")) as connection:
        marks = ",".join("?" * len(asked))
        found = connection.execute(f"SELECT request FROM entry WHERE request IN ({marks})", asked)
        return {request for (request,) in found}

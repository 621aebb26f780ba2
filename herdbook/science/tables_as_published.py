"""Reads the tables that lie in files under `tables/`, each with its source in the first line."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "tables"


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """Rows of a CSV table as text by column name.

    Args:
        name: file name in `tables/`, such as "nutrients.csv".
    """
    with (FOLDER / name).open(encoding="utf-8", newline="") as lines:
        return tuple(csv.DictReader(line for line in lines if not line.startswith("#")))


@cache
def document(name: str) -> dict[str, Any]:
    """A TOML table as it stands in the file.

    Args:
        name: file name in `tables/`, such as "cooling_rules.toml".
    """
    import tomllib  # 3 ms that most commands need not pay

    return tomllib.loads((FOLDER / name).read_text(encoding="utf-8"))


def source_of(name: str) -> tuple[str, ...]:
    """Source keys named in the first line of a table: "# source: KEY, KEY; remark"."""
    with (FOLDER / name).open(encoding="utf-8") as lines:
        first = lines.readline()
    keys, _, _ = first.removeprefix("# source:").partition(";")
    return tuple(key.strip() for key in keys.split(","))

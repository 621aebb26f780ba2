"""Rations as scientific journals print them, in parts of 100, load through `import ration` and sum as printed."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.cli.conftest import Keyboard

PRINTED = Path(__file__).parents[2] / "fixtures" / "rations_as_published.csv"
WHOLE_KG = 24.0


def diets() -> Mapping[str, list[tuple[str, str]]]:
    """Diet -> its feeds and parts as printed, the total last."""
    found: dict[str, list[tuple[str, str]]] = {}
    lines = [line for line in PRINTED.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    for row in csv.DictReader(lines):
        found.setdefault(row["diet"], []).append((row["feed"], row["percent"]))
    return found


@pytest.mark.parametrize("diet", diets())
def test_a_published_ration_loads_and_sums_as_printed(keyboard: Keyboard, tmp_path: Path, diet: str) -> None:
    *parts, (word, printed) = diets()[diet]
    assert word == "total"
    yard = keyboard.yard
    for feed, _ in parts:
        if feed not in yard.ground().names["feed"]:
            yard.do("feed", name=feed, kind="forage" if "silage" in feed or "hay" in feed else "protein")
            yard.do("analysis", feed=feed, dry="35" if "silage" in feed else "90", sure="yes")
    file = tmp_path / "diet.csv"
    file.write_text("feed,amount,unit\n" + "".join(f"{feed},{percent},%\n" for feed, percent in parts))
    answer = keyboard(
        "import", "ration", str(file), "--name", diet, "--whole", f"{WHOLE_KG:g} kg dm", "--yes",
        "--despite", "as printed",
    )  # fmt: skip
    assert answer.status == 0, answer.err
    report = keyboard("show", "ration", diet, "--as", "json").json
    feeds = {line["feed"]: line["dm_kg"] for line in report["tables"]["feeds"]}
    for feed, percent in parts:
        assert feeds[feed] == pytest.approx(WHOLE_KG * float(percent) / 100, abs=2e-6)  # kept in milligrams
    total = sum(feeds[feed] for feed, _ in parts)
    assert 100 * total / WHOLE_KG == pytest.approx(float(printed), abs=1e-4)
    assert printed in answer.out or f"{float(printed):g}" in answer.out


def test_parts_further_from_100_than_printing_explains_are_refused(
    keyboard: Keyboard, tmp_path: Path
) -> None:
    file = tmp_path / "diet.csv"
    file.write_text("feed,amount,unit\nCorn silage,96.0,%\nMineral mix,2.9,%\n")
    answer = keyboard("import", "ration", str(file), "--name", "short", "--whole", "24 kg dm", "--yes")
    assert answer.status == 2
    assert "98.9" in answer.err

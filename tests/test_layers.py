"""What importing each part brings in: a command must not pay for the screens, nor the science for the database."""

from __future__ import annotations

import subprocess
import sys
from importlib import import_module
from pathlib import Path

import herdbook

ROOT = Path(herdbook.__file__).parent
HEAVY = (
    "textual",
    "sqlmodel",
    "sqlalchemy",
    "pydantic",
    "pint",
    "numpy",
    "scipy",
    "rich",
    "sqlite3",
    "click",
    "platformdirs",
)
TESTS_ONLY = ("pytest", "hypothesis", "scipy", "numpy", "freezegun", "pyte", "molmass", "psychrolib")
MODELS = {"sqlmodel", "sqlalchemy", "pydantic"}

# a file or a folder -> the most that importing anything of it may bring in
MAY_BRING: dict[str, set[str]] = {
    "__init__.py": set(),
    "errors.py": set(),
    "plain.py": set(),
    "units.py": set(),
    "clock.py": set(),
    "settings.py": {"platformdirs"},
    "science": set(),
    "solving": {"numpy"},
    "book/__init__.py": set(),
    "book/chain.py": {"sqlite3"},
    "book/opening.py": {"sqlite3"},
    "book/migrations": {"sqlite3"},
    "book/reading": {"sqlite3"},
    "book/tables": MODELS,
    "book/drafts.py": {"sqlite3"},
    "book/heartbeat.py": set(),
    "book/notices.py": {"sqlite3"},
    "book/checks.py": {"sqlite3"},
    "book/batches.py": {"sqlite3"},
    "book/walking.py": {"sqlite3"},
    "book/sealing.py": {"sqlite3"},
    "book/copying.py": {"sqlite3"},
    "book/locking.py": set(),
    "book/making_room.py": {"sqlite3"},
    "book/restoring.py": {"sqlite3"},
    "book/rules": {"sqlite3"},
    "book/writing.py": MODELS | {"sqlite3"},
    "chores/asking.py": set(),
    "chores/ground.py": set(),
    "chores/moments.py": set(),
    "chores/measures.py": set(),
    "chores/repeated.py": set(),
    "chores/load_names.py": {"sqlite3"},
    "chores": MODELS | {"sqlite3"},
    "reports/blocks.py": {"sqlite3", "rich"},
    "reports": {"sqlite3"},
    "watch/following.py": MODELS | {"sqlite3"},
    "watch/logger_lines.py": MODELS | {"sqlite3"},
    "watch/mqtt_source.py": MODELS | {"sqlite3"},
    "watch/reading_feed.py": MODELS | {"sqlite3"},
    "watch/reading_rounds.py": MODELS | {"sqlite3"},
    "watch/standard_input.py": MODELS | {"sqlite3"},
    "watch": {"sqlite3"},
    "cli": {"sqlite3", "click", "rich", "platformdirs"},
    "cli/fields.py": MODELS | {"sqlite3", "click", "rich", "platformdirs"},
    "cli/new.py": MODELS | {"sqlite3", "click", "rich", "platformdirs"},
    "cli/write.py": MODELS | {"sqlite3", "click", "rich", "platformdirs"},
    "__main__.py": {"sqlite3", "click", "platformdirs"},
}
EAGER = {"screens", "demo"}
"""Parts that may bring in what they like: they are imported when someone wants them."""


def modules() -> list[str]:
    return sorted(str(path.relative_to(ROOT)) for path in ROOT.rglob("*.py"))


def module_name(path: str) -> str:
    parts = path.removesuffix(".py").removesuffix("__init__").strip("/").split("/")
    return ".".join(["herdbook", *filter(None, parts)])


def brought_in_by(groups: dict[str, list[str]]) -> dict[str, set[str]]:
    """Group -> what importing all its files brings in; each group in a process of its own, forked to be quick."""
    imports = {group: [module_name(path) for path in paths] for group, paths in groups.items()}
    code = f"""
import os, sys
for group, names in {imports!r}.items():
    read, write = os.pipe()
    if os.fork() == 0:
        try:
            for name in names:
                __import__(name)
            found = " ".join(m for m in {HEAVY + TESTS_ONLY!r} if m in sys.modules)
        except BaseException as error:
            found = f"FAILED {{error!r}}"
        os.write(write, found.encode())
        os._exit(0)
    os.close(write)
    print(group, os.read(read, 65536).decode(), sep="\\t")
    os.close(read)
    os.wait()
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not done.stderr, done.stderr
    return {
        group: set(found.split()) for group, found in (line.split("\t") for line in done.stdout.splitlines())
    }


def rule_of(path: str) -> str:
    parts = path.split("/")
    return next(
        rule for n in range(len(parts), -1, -1) if (rule := "/".join(parts[:n])) in MAY_BRING or not n
    )


def by_rule() -> dict[str, list[str]]:
    groups: dict[str, list[str]] = {}
    for path in modules():
        if path.split("/")[0] not in EAGER:
            groups.setdefault(rule_of(path), []).append(path)
    return groups


def too_much(path: str, brought: set[str]) -> list[str]:
    return sorted(brought - MAY_BRING.get(rule_of(path), set()))


def test_no_module_brings_in_more_than_it_may() -> None:
    alike: dict[
        str, list[str]
    ] = {}  # files under the same rule are looked at together first, which is quicker
    for rule, paths in by_rule().items():
        alike.setdefault(" ".join(sorted(MAY_BRING.get(rule, set()))), []).extend(paths)
    brought = brought_in_by(alike)
    suspects = [
        path for paths in alike.values() for path in paths if too_much(path, brought[key_of(alike, path)])
    ]
    alone = brought_in_by({path: [path] for path in suspects})
    assert not {path: too_much(path, its) for path, its in alone.items() if too_much(path, its)}
    assert not suspects


def key_of(groups: dict[str, list[str]], path: str) -> str:
    return next(key for key, paths in groups.items() if path in paths)


def test_every_part_has_its_rule() -> None:
    assert sum(map(len, by_rule().values())) > 100
    assert by_rule().get("", []) in ([], ["__init__.py"]), "a new part must be given its rule above"


def test_the_check_sees_what_it_looks_for() -> None:
    seen = brought_in_by({"heavy": ["book/writing.py"], "light": ["book/chain.py"]})
    assert seen["heavy"] >= MODELS
    assert seen["light"] == {"sqlite3"}


def test_the_registry_of_units_loads_pint_only_when_asked() -> None:
    code = "import sys, herdbook.units as u; a = 'pint' in sys.modules; u.registry(); print(a, 'pint' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "True"]


def test_every_module_opens_with_a_sentence() -> None:
    for path in modules():
        name = path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")
        if name in ("__init__", "__main__") or name.split(".")[0] in EAGER:
            continue
        doc = import_module(f"herdbook.{name}").__doc__ or ""
        assert doc.strip().splitlines()[0].endswith((".", ":")), f"{path} does not say what it is for"

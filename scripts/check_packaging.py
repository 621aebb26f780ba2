"""Checks what is locked against pyproject.toml, and what a wheel holds against herdbook/."""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import tomllib
import zipfile
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

TOP = Path(__file__).resolve().parent.parent
PYPROJECT = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))

# The whole form of a lock: pins and hashes. An index, a host or a path would fit neither line.
PIN = re.compile(r"([a-z0-9][a-z0-9-]*)==([0-9][0-9a-z.+!]*)( ; [A-Za-z0-9_ '()<>=!.-]+)? \\")
HASH = re.compile(r"    --hash=sha256:[0-9a-f]{64}( \\)?")


def lock_faults(name: str, wanted: list[str]) -> tuple[list[str], dict[str, set[str]]]:
    """Give what is wrong with lock `name`, which should meet `wanted`, and the versions it pins."""
    faults: list[str] = []
    pins: dict[str, set[str]] = {}
    path = TOP / "scripts" / "locked" / name
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1):
        if pin := PIN.fullmatch(line):
            pins.setdefault(pin[1], set()).add(pin[2])
        elif not HASH.fullmatch(line):
            faults.append(f"{name}:{number}: neither a pin nor a hash: {line}")
    for requirement in map(Requirement, wanted):
        versions = pins.get(canonicalize_name(requirement.name), set())
        if not versions:
            faults.append(f"{name}: {requirement.name} is not locked; run scripts/lock")
        faults += [
            f"{name}: {requirement.name} {version} is locked, pyproject.toml wants {requirement}"
            for version in sorted(versions)
            if not requirement.specifier.contains(version, prereleases=True)
        ]
    return faults, pins


def locks() -> list[str]:
    """Give what is wrong with the locks."""
    project = PYPROJECT["project"]
    run = PYPROJECT["build-system"]["requires"] + project["dependencies"]
    run_faults, run_pins = lock_faults("run.txt", run)
    dev_faults, dev_pins = lock_faults("dev.txt", run + project["optional-dependencies"]["dev"])
    apart = [
        f"{name} is not locked alike in run.txt and dev.txt; run scripts/lock"
        for name, versions in run_pins.items()
        if dev_pins.get(name) != versions
    ]
    return run_faults + dev_faults + apart


def wheel() -> list[str]:
    """Give what is wrong with the wheel: every file of herdbook/ should be in it."""
    ours = {
        path.relative_to(TOP).as_posix()
        for path in (TOP / "herdbook").rglob("*")
        if path.is_file()
        and path.suffix in {".py", ".typed", ".tcss", ".toml", ".csv", ".sql", ".md", ".service", ".timer"}
    }
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(
            [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", folder],
            cwd=TOP,
            check=True,
            capture_output=True,
        )
        (built,) = Path(folder).glob("*.whl")
        with zipfile.ZipFile(built) as archive:
            held = set(archive.namelist())
    return [f"the wheel lacks {path}" for path in sorted(ours - held)]


if __name__ == "__main__":
    faults = locks() + wheel()
    print("\n".join(faults) or "The locks meet pyproject.toml, and the wheel holds all of herdbook/.")
    sys.exit(bool(faults))

"""What a machine must have for some tests: where it is missing they are skipped with the reason, and fail in CI."""

from __future__ import annotations

import os
import shutil

import pytest

SYSTEM_PATH = f"{os.environ.get('PATH', '')}:/usr/sbin:/usr/local/sbin"
"""Servers lie where an ordinary login does not look."""


def need(reason: str) -> None:
    """Skip for a reason, if there is one; in CI, where scripts/check installs what is needed, fail."""
    if reason and os.environ.get("CI") == "true":
        pytest.fail(f"This must be tried in CI, and cannot be: {reason}")
    if reason:
        pytest.skip(reason)


def program(name: str, package: str) -> str:
    """Where a program lies; a test that cannot do without it goes no further.

    Args:
        name: the program.
        package: the package of Debian that has it (TEST_PACKAGES in scripts/setup.sh).
    """
    found = shutil.which(name, path=SYSTEM_PATH)
    need("" if found else f"{name} is not installed (Debian: {package})")
    return found or ""

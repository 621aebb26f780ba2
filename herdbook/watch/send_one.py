"""Sends one notice and ends: a process of its own, so that nothing a service does can stop or outlast the watcher.

It is started without an environment and reads the address and the words from standard input. It says nothing on
its own: what the library would log may hold the address.
"""

from __future__ import annotations

import json
import logging
import os
import sys

SENT, NOT_SENT, NO_ADDRESS = 0, 1, 2

HERE_ONLY = frozenset({"dbus", "gio", "glib", "gnome", "kde", "macosx", "qt", "syslog", "windows"})
"""Ways to say something on this computer alone: nobody in the barn or in bed hears of it."""


def main() -> int:
    """Read `{"url", "title", "body"}`; return how it went. Without a body only the address is tried out."""
    asked = json.load(sys.stdin)
    sys.stdout = sys.stderr = open(os.devnull, "w")  # noqa: SIM115, PTH123 (closed by the end of the process)
    logging.disable(logging.CRITICAL)
    from apprise import Apprise, AppriseAsset
    from apprise.common import PersistentStoreMode

    asset = AppriseAsset(
        plugin_paths=[],  # no code but the library's own
        storage_mode=PersistentStoreMode.MEMORY,  # nothing is kept on the disk
        secure_logging=True,
        interpret_escapes=False,
        interpret_emojis=False,
    )
    if asked["url"].partition(":")[0].lower() in HERE_ONLY:
        return NO_ADDRESS
    teller = Apprise(asset=asset)
    if not teller.add(asked["url"]) or len(teller) != 1:
        return NO_ADDRESS
    if not asked.get("body"):
        return SENT
    told = teller.notify(title=asked["title"], body=asked["body"], body_format="text", notify_type="warning")
    return SENT if told else NOT_SENT


if __name__ == "__main__":
    sys.exit(main())

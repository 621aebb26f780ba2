"""Running under a service manager: telling it that all is well."""

from __future__ import annotations

import os
import socket
from contextlib import suppress


def tell_manager(words: str) -> None:
    """Tell the service manager something, as sd_notify(3) does; outside of one it is not heard.

    Args:
        words: such as `READY=1` or `WATCHDOG=1`.
    """
    address = os.environ.get("NOTIFY_SOCKET", "")
    if not address.startswith(("/", "@")):
        return
    with suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as end:
        end.connect("\0" + address[1:] if address[0] == "@" else address)
        end.send(words.encode())

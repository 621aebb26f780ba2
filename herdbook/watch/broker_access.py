"""How a broker is come to: over a locked line or an open one, and under which name with which password."""

from __future__ import annotations

import os
import stat
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from herdbook.errors import Refused
from herdbook.plain import plain

if TYPE_CHECKING:
    from ssl import SSLContext

OPEN_PORT, LOCKED_PORT = 1883, 8883
"""The ports registered for MQTT and for MQTT over TLS. Source: OASIS, MQTT 3.1.1, section 4.2 (non-normative)."""

LONGEST_PASSWORD = 65_535
"""Bytes that the protocol's two bytes of length can tell. Source: OASIS, MQTT 3.1.1, section 1.5.3."""

USER_VARIABLE, PASSWORD_VARIABLE = "HERDBOOK_MQTT_USER", "HERDBOOK_MQTT_PASSWORD"


@dataclass(frozen=True, slots=True)
class BrokerAccess:
    """How a broker is come to.

    Args:
        user: the name it wants; empty where it wants none.
        password: the password that goes with it; kept out of what is shown.
        lock: makes a TLS context that checks the broker's certificate and name; None for an open line.
    """

    user: str = ""
    password: str | None = None
    lock: SSLContext | None = None

    def __repr__(self) -> str:
        return f"BrokerAccess(user={self.user!r}, locked={self.lock is not None})"

    @property
    def port(self) -> int:
        """The port where none is given."""
        return LOCKED_PORT if self.lock else OPEN_PORT


def broker_access(*, user: str, password_file: str, tls: bool, ca_file: str) -> BrokerAccess:
    """What was given for a broker, read and checked before the watcher starts.

    Args:
        user: the name; empty for that of the environment, if any.
        password_file: a file that holds the password and that its owner alone may read; empty for the environment's.
        tls: lock the line, trusting the authorities this computer trusts.
        ca_file: a file of the farm's own authorities (PEM); a line is locked where it is given.

    Returns:
        The access.

    Raises:
        Refused: a file cannot be used, or a password has no name to go with it.
    """
    user = user or os.environ.get(USER_VARIABLE, "")
    if password_file and not user:
        raise Refused(
            "mqtt-password-file: a password goes with a name.",
            remedy=f"Give --mqtt-user NAME, or set {USER_VARIABLE}.",
            field="mqtt_password_file",
        )
    password = (
        _password(Path(password_file).expanduser()) if password_file else os.environ.get(PASSWORD_VARIABLE)
    )
    return BrokerAccess(user, password, _lock(ca_file) if tls or ca_file else None)


def _password(path: Path) -> str:
    try:
        with path.open("rb") as file:
            if stat.S_IMODE(os.fstat(file.fileno()).st_mode) & 0o077:
                raise _unusable(
                    "password-file",
                    f"{path} may be read by others than its owner.",
                    f"`chmod 600 {path}`, and change the password if somebody may have read it.",
                )
            told = file.read(LONGEST_PASSWORD + 2)
        # one line end is the editor's, anything else is the password's own
        password = told.decode().removesuffix("\n").removesuffix("\r")
    except OSError as error:
        why = error.strerror or "it cannot be opened"
        raise _unusable(
            "password-file", f"{path} cannot be read: {why}.", "Check its name and owner."
        ) from None
    except UnicodeDecodeError:
        raise _unusable(
            "password-file", f"{path} is not UTF-8 text.", "Write the password as text."
        ) from None
    if not password or "\n" in password or "\0" in password or len(told) > LONGEST_PASSWORD:
        raise _unusable(
            "password-file",
            f"{path} does not hold one password.",
            "Write the password on its first and only line.",
        )
    return password


def _lock(ca_file: str) -> SSLContext:
    import ssl

    if not ca_file:
        return ssl.create_default_context()
    try:
        return ssl.create_default_context(cafile=str(Path(ca_file).expanduser()))
    except OSError as error:  # what is wrong in a certificate is one too
        why = (
            error.strerror
            if not isinstance(error, ssl.SSLError) and error.strerror
            else "no certificate is in it"
        )
        raise _unusable(
            "ca-file", f"{ca_file} cannot be used: {why}.", "Give the authority's certificate, in PEM."
        ) from None


def _unusable(option: str, what: str, remedy: str) -> Refused:
    return Refused(
        f"mqtt-{option}: {plain(what, longest=300)}",
        remedy=plain(remedy, longest=300),
        field=f"mqtt_{option.replace('-', '_')}",
    )

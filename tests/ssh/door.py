"""A private SSH server on loopback with a farm's book behind it: keys, a client's settings, and traps for what runs."""

from __future__ import annotations

import contextlib
import getpass
import os
import shutil
import socket
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.needed import SYSTEM_PATH

SSHD = shutil.which("sshd", path=SYSTEM_PATH)
WRAPPER = next(iter(sorted(Path("/usr/lib").glob("*-linux-gnu/libnss_wrapper.so"))), None)
"""Lets the server see a list of users of our own, so that nobody's real home takes part."""

NEEDED = ("ssh", "ssh-keygen", "sftp", "scp")

# A server whose keeper was careless: it forwards, runs people's files and takes variables. What shuts must be
# the key's own line and the program.
SERVER = """\
ListenAddress 127.0.0.1
Port {port}
HostKey {folder}/host
PidFile none
AuthorizedKeysFile {folder}/keys
StrictModes no
UsePAM no
PermitRootLogin prohibit-password
PasswordAuthentication no
KbdInteractiveAuthentication no
AllowTcpForwarding yes
AllowAgentForwarding yes
AllowStreamLocalForwarding yes
GatewayPorts yes
X11Forwarding yes
PermitTunnel yes
PermitUserRC yes
PermitUserEnvironment yes
Subsystem sftp {sftp}
AcceptEnv LANG LC_* TZ NO_COLOR COLORTERM PYTHON* TEXTUAL* HERDBOOK* XDG_* SQLITE* HOME PATH TMPDIR
AcceptEnv ENV BASH_ENV BROWSER EDITOR VISUAL PAGER LESSOPEN COLUMNS LINES
MaxStartups 100
LogLevel DEBUG1
"""

CLIENT = """\
Host *
    HostName 127.0.0.1
    Port {port}
    User {user}
    IdentityFile {folder}/%n
    IdentitiesOnly yes
    IdentityAgent none
    UserKnownHostsFile {folder}/known
    StrictHostKeyChecking yes
    BatchMode yes
    ControlMaster no
    LogLevel ERROR
"""

START_UP = (".profile", ".bashrc", ".bash_profile", ".shrc", ".pythonrc", ".ssh/rc")


@dataclass
class Said:
    """What came back over the line."""

    status: int
    out: str
    err: str


@dataclass
class Door:
    """The server while it runs, and its client.

    Attributes:
        folder: keys, settings and the server's log.
        home: the home of whoever logs in, with traps in every start-up file.
        trap: a folder where traps and tricks would leave a mark.
    """

    folder: Path
    port: int = 0
    keys: list[str] = field(default_factory=list)
    server: subprocess.Popen[bytes] | None = None

    @property
    def home(self) -> Path:
        return self.folder / "home"

    @property
    def trap(self) -> Path:
        return self.folder / "trap"

    @property
    def log(self) -> str:
        return (self.folder / "log").read_text(errors="replace")

    @property
    def user(self) -> str:
        return "barn" if WRAPPER else getpass.getuser()

    def prepare(self) -> None:
        """Make keys of the server, the home with its traps, and the lists of users."""
        for place in (self.home / ".ssh", self.trap):
            place.mkdir(parents=True)
        for name in START_UP:
            (self.home / name).write_text(f"touch {self.trap}/{name.replace('/', '-')}\n")
        (self.home / ".ssh/environment").write_text("PYTHONINSPECT=1\n")
        self.make_key("host")
        public = (self.folder / "host.pub").read_text()
        (self.folder / "known").write_text(f"* {public}")
        (self.folder / "keys").touch()
        users = Path("/etc/passwd").read_text()
        users += f"barn:*:{os.getuid()}:{os.getgid()}::{self.home}:/bin/sh\n"
        (self.folder / "users").write_text(users)
        shutil.copyfile("/etc/group", self.folder / "groups")

    def make_key(self, name: str) -> str:
        """A new key of that name; its public line."""
        subprocess.run(
            ["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-C", f"{name}@laptop", "-f", self.folder / name],
            check=True,
        )
        return (self.folder / f"{name}.pub").read_text()

    def let_in(self, line: str) -> None:
        """Put a line in the server's list of keys; it is read at the next login."""
        with (self.folder / "keys").open("a") as keys:
            keys.write(f"{line.rstrip()}\n")

    def start(self) -> None:
        """Start the server and wait until it listens."""
        if os.getuid() == 0:
            Path("/run/sshd").mkdir(mode=0o755, exist_ok=True)  # where the server's unprivileged half lives
        wrapped = {
            "LD_PRELOAD": str(WRAPPER),
            "NSS_WRAPPER_PASSWD": str(self.folder / "users"),
            "NSS_WRAPPER_GROUP": str(self.folder / "groups"),
        }
        sftp = next((str(p) for p in map(Path, SFTP_SERVERS) if p.exists()), "internal-sftp")
        for _ in range(5):
            self.port = free_port()
            settings = SERVER.format(port=self.port, folder=self.folder, sftp=sftp)
            (self.folder / "sshd_config").write_text(settings)
            self.server = subprocess.Popen(
                [str(SSHD), "-D", "-f", self.folder / "sshd_config", "-E", self.folder / "log"],
                env={"PATH": "/usr/bin:/bin"} | (wrapped if WRAPPER else {}),
            )
            if self._listens():
                break
        else:
            raise AssertionError(f"the SSH server did not start:\n{self.log}")
        client = CLIENT.format(port=self.port, folder=self.folder, user=self.user)
        (self.folder / "ssh_config").write_text(client)

    def _listens(self) -> bool:
        assert self.server is not None
        until = time.monotonic() + 10
        while time.monotonic() < until and self.server.poll() is None:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port), 1):
                return True
            time.sleep(0.02)
        return False

    def stop(self) -> None:
        """Stop the server started here."""
        if self.server is not None:
            self.server.terminate()
            self.server.wait()

    def client(self, key: str, *words: str, program: str = "ssh", options: Sequence[str] = ()) -> list[str]:
        """The client's command line, going in with a key."""
        return [
            program,
            "-F",
            str(self.folder / "ssh_config"),
            *options,
            key,
            *(["--", *words] if words else []),
        ]

    def __call__(
        self,
        key: str,
        *words: str,
        options: Sequence[str] = (),
        stdin: str = "",
        environ: Mapping[str, str] | None = None,
    ) -> Said:
        """Go in with a key, send words, and hear what comes back."""
        sent = [f"-oSendEnv={name}" for name in environ or {}]
        return self.run(
            self.client(key, *words, options=[*sent, *options]), stdin=stdin, environ=environ or {}
        )

    def run(
        self, command: Sequence[str], *, stdin: str = "", environ: Mapping[str, str] | None = None
    ) -> Said:
        """Run a client of the server."""
        done = subprocess.run(
            list(command),
            input=stdin,
            capture_output=True,
            text=True,
            timeout=60,
            env={"PATH": os.environ["PATH"], "HOME": str(self.folder), **(environ or {})},
        )
        return Said(done.returncode, done.stdout, done.stderr)

    def marks(self) -> list[str]:
        """What traps and tricks left behind, in their folder or in the home."""
        placed = {Path(name).parts[0] for name in (*START_UP, ".ssh")}
        left = [*self.trap.iterdir(), *(found for found in self.home.iterdir() if found.name not in placed)]
        return sorted(found.name for found in left)


SFTP_SERVERS = (
    "/usr/lib/openssh/sftp-server",
    "/usr/libexec/openssh/sftp-server",
    "/usr/lib/ssh/sftp-server",
)


def free_port() -> int:
    """A port of loopback that nobody listens on."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def why_not() -> str:
    """Why the door cannot be tried here; empty when it can."""
    missing = [name for name in NEEDED if shutil.which(name) is None] + ([] if SSHD else ["sshd"])
    if missing:
        return f"not installed: {', '.join(missing)} (Debian: openssh-server openssh-client)"
    return ""


def program(*words: str) -> list[str]:
    """Herdbook in isolated mode, as a key's line starts it."""
    return [sys.executable, "-I", "-m", "herdbook", *words]

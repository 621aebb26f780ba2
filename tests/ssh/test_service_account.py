"""The script that sets up the account of the door, on a made-up system of a few files, judged by the real server."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.ssh.door import SSHD

SCRIPT = Path(__file__).parents[2] / "scripts/service_account"
NOBODY = 65_534

is_root = pytest.mark.skipif(os.getuid() != 0, reason="only root may give files away")


class System:
    """The few files of a Debian that the script looks at."""

    def __init__(self, top: Path) -> None:
        self.top = top
        ssh = top / "etc/ssh"
        ssh.mkdir(parents=True)
        for name, text in {
            "debian_version": "12.5\n",
            "passwd": "root:x:0:0::/root:/bin/sh\n",
            "shadow": "root:*:19000::::::\n",
            "group": "root:x:0:\nstaff:x:50:\n",
            "gshadow": "root:*::\nstaff:!::\n",
            "ssh/sshd_config": "Include /etc/ssh/sshd_config.d/*.conf\nX11Forwarding yes\n",
        }.items():
            (top / "etc" / name).write_text(text)

    def run(self, *words: str, user: int | None = None) -> subprocess.CompletedProcess[str]:
        """Run the script on this system."""
        copy = shutil.copy(SCRIPT, self.top / "script")  # where anybody may read it
        return subprocess.run(
            ["/bin/sh", copy, "--root", str(self.top), *words], capture_output=True, text=True, user=user
        )

    def found(self) -> dict[str, tuple[int, int, str, bytes]]:
        """Every file and folder with its owner, group, mode and insides."""
        return {
            str(path.relative_to(self.top)): (
                path.stat().st_uid,
                path.stat().st_gid,
                oct(path.stat().st_mode & 0o7777),
                path.read_bytes() if path.is_file() else b"",
            )
            for path in self.top.rglob("*")
            if path.name != "script"
        }

    def field(self, file: str, number: int) -> str:
        """A field of the account's line."""
        lines = (self.top / "etc" / file).read_text().splitlines()
        (line,) = [line for line in lines if line.startswith("herdbook:")]
        return line.split(":")[number]


@pytest.fixture
def system() -> Iterator[System]:
    with tempfile.TemporaryDirectory(prefix="system") as folder:
        Path(folder).chmod(0o755)
        yield System(Path(folder))


def test_a_dry_run_says_what_it_would_do_and_does_nothing(system: System) -> None:
    before = system.found()
    done = system.run("--dry-run", user=NOBODY if os.getuid() == 0 else None)
    assert (done.returncode, done.stderr) == (0, "")
    assert system.found() == before
    told = [
        line.removeprefix("would:").strip() for line in done.stdout.splitlines() if line.startswith("would:")
    ]
    assert "--shell /bin/sh" in told[0]
    assert "Nothing was done." in done.stdout
    assert "DisableForwarding yes" in done.stdout


@is_root
def test_it_does_what_it_said_and_a_second_time_nothing(system: System) -> None:
    said = [line for line in system.run("--dry-run").stdout.splitlines() if line.startswith("would:  mkdir")]
    first = system.run()
    assert (first.returncode, first.stderr) == (0, "")
    assert {line.replace("would:", "did:  ") for line in said} <= set(first.stdout.splitlines())
    found = system.found()
    number = int(system.field("passwd", 2))
    assert number not in (0, NOBODY)
    assert found["var/lib/herdbook"][:3] == (0, 0, "0o755")
    assert found["etc/ssh/herdbook/keys"] == (0, 0, "0o644", b"")
    assert found["etc/ssh/herdbook"][:3] == (0, 0, "0o755")
    assert found["etc/ssh/sshd_config.d/herdbook.conf"][:3] == (0, 0, "0o644")
    assert found["srv/herdbook"][:3] == (number, int(system.field("passwd", 3)), "0o700")
    assert system.field("passwd", 5) == "/var/lib/herdbook"
    assert system.field("passwd", 6) == "/bin/sh"
    assert system.field("shadow", 1) == "*"  # no password fits, and it is not a locked account either
    again = system.run()
    assert "Everything was so already." in again.stdout
    assert "did:" not in again.stdout
    assert system.found() == found


@is_root
def test_what_was_let_slip_is_put_right_and_what_people_wrote_is_kept(system: System) -> None:
    system.run()
    keys, book = system.top / "etc/ssh/herdbook/keys", system.top / "srv/herdbook/farm.book"
    keys.write_text("# ours\nssh-ed25519 AAAA mallory\n")
    book.write_text("book")
    for place, mode in ((keys, 0o666), (book, 0o644), (system.top / "srv/herdbook", 0o777)):
        place.chmod(mode)
        os.chown(place, NOBODY, NOBODY)
    (system.top / "var/lib/herdbook/.bashrc").touch()
    passwd = system.top / "etc/passwd"
    passwd.write_text(passwd.read_text().replace("/var/lib/herdbook:/bin/sh", "/home/x:/bin/bash"))
    group = system.top / "etc/group"
    group.write_text(group.read_text().replace("staff:x:50:", "staff:x:50:ann,herdbook"))
    done = system.run()
    assert (done.returncode, done.stderr) == (0, "")
    found, number = system.found(), int(system.field("passwd", 2))
    assert found["etc/ssh/herdbook/keys"] == (0, 0, "0o644", b"# ours\nssh-ed25519 AAAA mallory\n")
    assert found["srv/herdbook"][:3] == (number, int(system.field("passwd", 3)), "0o700")
    assert found["srv/herdbook/farm.book"] == (number, int(system.field("passwd", 3)), "0o600", b"book")
    assert (system.field("passwd", 5), system.field("passwd", 6)) == ("/var/lib/herdbook", "/bin/sh")
    told = done.stdout
    assert "line 2 of the list of keys is not one that `herdbook people key` makes" in told
    assert "var/lib/herdbook is not empty" in told
    assert "herdbook is in other groups, and need not be: staff" in told


SHUT = {
    "authorizedkeysfile": "/etc/ssh/herdbook/keys",
    "authenticationmethods": "publickey",
    "passwordauthentication": "no",
    "kbdinteractiveauthentication": "no",
    "disableforwarding": "yes",
    "allowagentforwarding": "no",
    "allowtcpforwarding": "no",
    "allowstreamlocalforwarding": "no",
    "x11forwarding": "no",
    "permittunnel": "no",
    "permituserrc": "no",
    "permittty": "yes",
}


@is_root
def test_the_server_shuts_the_account_and_nobody_else(system: System) -> None:
    """The server is asked what it makes of its settings for one and for another."""
    system.run()
    snippet = system.top / "etc/ssh/sshd_config.d/herdbook.conf"
    whole = system.top / "config"
    whole.write_text(f"Include {snippet}\nX11Forwarding yes\nPasswordAuthentication yes\n")
    key = system.top / "key"
    subprocess.run(["ssh-keygen", "-q", "-t", "ed25519", "-N", "", "-f", key], check=True)
    Path("/run/sshd").mkdir(mode=0o755, exist_ok=True)
    read = {}
    for user in ("herdbook", "ann"):
        done = subprocess.run(
            [str(SSHD), "-T", "-f", whole, "-h", key, "-C", f"user={user},host=x,addr=127.0.0.1"],
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stderr
        read[user] = dict(line.partition(" ")[::2] for line in done.stdout.splitlines())
    assert {name: read["herdbook"][name] for name in SHUT} == SHUT
    assert read["ann"]["x11forwarding"] == "yes"
    assert read["ann"]["passwordauthentication"] == "yes"
    assert read["ann"]["disableforwarding"] == "no"


def test_the_manual_shows_settings_that_the_script_writes(system: System) -> None:
    shown = (
        (SCRIPT.parents[1] / "herdbook/manual/door.md").read_text().partition("    Match User herdbook\n")[2]
    )
    lines = [line.strip() for line in shown.partition("\n\n")[0].splitlines()]
    written = {line.strip() for line in system.run("--dry-run").stdout.splitlines()}
    assert len(lines) > 10
    assert set(lines) <= written


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["--account", "root"], "root is no account"),
        (["--account", "a;b"], "is not a name for an account"),
        (["--account", "../x"], "is not a name for an account"),
        (["--account"], "--account needs a value."),
        (["--folder", "/"], "is not a plain path"),
        (["--folder", "/srv"], "is not a folder below another"),
        (["--folder", "/srv/../etc"], "is not a plain path"),
        (["--folder", "srv/x"], "is not a folder below another"),
        (["--folder", "/srv/a b"], "is not a plain path"),
        (["--fast"], "--fast is not an option"),
    ],
)
def test_what_is_not_to_be_done_is_refused_in_a_sentence(system: System, words: list[str], why: str) -> None:
    before = system.found()
    done = system.run(*words)
    assert (done.returncode, done.stdout) == (2, "")
    assert why in done.stderr
    assert done.stderr.count("\n") == 1
    assert system.found() == before


@is_root
def test_nobody_but_root_and_nothing_but_debian(system: System) -> None:
    before = system.found()
    done = system.run(user=NOBODY)
    assert done.returncode == 2
    assert done.stderr == "service_account: only root can do this: use sudo, or look first with --dry-run.\n"
    assert system.found() == before
    (system.top / "etc/debian_version").unlink()
    done = system.run("--dry-run")
    assert done.returncode == 2
    assert "this is written for Debian" in done.stderr


@is_root
def test_what_someone_else_made_in_its_place_is_left_alone(system: System) -> None:
    snippet = system.top / "etc/ssh/sshd_config.d/herdbook.conf"
    snippet.parent.mkdir()
    snippet.write_text("Port 2222\n")
    done = system.run()
    assert done.returncode == 2
    assert "was written by someone else" in done.stderr
    assert snippet.read_text() == "Port 2222\n"
    snippet.unlink()
    book = system.top / "srv/herdbook"
    shutil.rmtree(book)
    elsewhere = system.top / "elsewhere"
    elsewhere.mkdir(mode=0o755)
    book.symlink_to(elsewhere)
    done = system.run()
    assert done.returncode == 2
    assert "is a link" in done.stderr
    assert elsewhere.stat().st_uid == 0


@pytest.mark.skipif(shutil.which("shellcheck") is None, reason="shellcheck is not installed")
def test_the_script_is_clean_shell() -> None:
    done = subprocess.run(["shellcheck", SCRIPT], capture_output=True, text=True)
    assert done.stdout == ""

"""A broker behind a lock: an authority of the test's own, a real broker, a name and a password nobody sees."""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from herdbook.cli.main import run
from herdbook.errors import Refused
from herdbook.watch.broker_access import broker_access
from tests.needed import program
from tests.watch.test_readings_coming import TOPIC, Broker, Reader, told, wanted
from tests.watch.test_watching import wait_for
from tests.yard import Yard

if TYPE_CHECKING:
    from paho.mqtt.client import Client

NAME, PASSWORD = "logger", "straw in the attic, 7"


def openssl(folder: Path, *words: str) -> None:
    subprocess.run([program("openssl", "openssl"), *words], cwd=folder, check=True, capture_output=True)


def authority(folder: Path, name: str) -> Path:
    """An authority's certificate; its key lies beside it."""
    made = ("-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes", "-days", "2")
    openssl(
        folder, "req", "-x509", *made, "-subj", f"/CN={name}", "-keyout", f"{name}.key", "-out", f"{name}.pem"
    )
    return folder / f"{name}.pem"


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two authorities; a certificate of 127.0.0.1 that the first signed; the broker's passwords."""
    folder = tmp_path_factory.mktemp("papers")
    authority(folder, "ours")
    authority(folder, "another")
    (folder / "names").write_text("subjectAltName=IP:127.0.0.1\n")
    made = ("-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes")
    openssl(folder, "req", *made, "-subj", "/CN=broker", "-keyout", "broker.key", "-out", "broker.csr")
    signed = ("-CA", "ours.pem", "-CAkey", "ours.key", "-CAcreateserial", "-extfile", "names", "-days", "2")
    openssl(folder, "x509", "-req", "-in", "broker.csr", *signed, "-out", "broker.pem")
    words = [program("mosquitto_passwd", "mosquitto"), "-b", "-c", str(folder / "names-in"), NAME, PASSWORD]
    subprocess.run(words, check=True, capture_output=True)
    return folder


@pytest.fixture
def locked(papers: Path, tmp_path: Path) -> Iterator[Broker]:
    doors = (
        f"cafile {papers}/ours.pem\ncertfile {papers}/broker.pem\nkeyfile {papers}/broker.key\n"
        f"allow_anonymous false\npassword_file {papers}/names-in\n"
    )
    made = Broker(tmp_path, program("mosquitto", "mosquitto"), doors)
    yield made
    made.stop()


def secret(folder: Path, text: str = PASSWORD, mode: int = 0o600) -> Path:
    path = folder / "broker-password"
    path.write_text(f"{text}\n")
    path.chmod(mode)
    return path


@contextmanager
def reading(yard: Yard, folder: Path, broker: Broker, ca: Path) -> Iterator[Reader]:
    """A watcher that listens to the broker, trusting an authority."""
    how = (
        "--mqtt-ca-file",
        str(ca),
        "--mqtt-user",
        NAME,
        "--mqtt-password-file",
        str(folder / "broker-password"),
    )
    where = ("--mqtt", f"127.0.0.1:{broker.port}", "--topic", TOPIC, "--tank", "North", "--every", "1")
    made = Reader(yard, folder, *where, *how)
    made.start()
    yield made
    made.close()


def opening(papers: Path) -> Callable[[Client], None]:
    def do(logger: Client) -> None:
        logger.tls_set(ca_certs=str(papers / "ours.pem"))
        logger.username_pw_set(NAME, PASSWORD)

    return do


@pytest.mark.slow
def test_readings_come_over_a_locked_line_and_the_password_is_seen_nowhere(
    yard: Yard, papers: Path, locked: Broker, tmp_path: Path
) -> None:
    secret(tmp_path)
    with reading(yard, tmp_path, locked, papers / "ours.pem") as reader:
        wait_for(lambda: "over a locked line" in reader.said, "the subscription")
        locked.tell(*map(told, range(1, 6)), opening=opening(papers))
        wait_for(lambda: len(reader.kept()) >= 5, "the readings")
        assert reader.kept() == wanted(5)
        assert reader.process is not None
        for seen in ("cmdline", "environ"):
            assert PASSWORD.encode() not in Path(f"/proc/{reader.process.pid}/{seen}").read_bytes()
        assert PASSWORD not in reader.said


@pytest.mark.slow
def test_a_broker_that_another_authority_vouches_for_is_told_nothing_and_a_wrong_password_is_said(
    yard: Yard, papers: Path, locked: Broker, tmp_path: Path
) -> None:
    secret(tmp_path)
    with reading(yard, tmp_path, locked, papers / "another.pem") as reader:
        wait_for(lambda: "is not reached" in reader.said, "the refusal")
        assert "certificate verify failed" in reader.said
        assert "listening to" not in reader.said
    secret(tmp_path, "hay in the attic")
    with reading(yard, tmp_path, locked, papers / "ours.pem") as reader:
        wait_for(lambda: "says no" in reader.said, "the broker's no")
        assert "hay in the attic" not in reader.said
        assert reader.kept() == []


@pytest.mark.parametrize(
    ("text", "mode", "says"),
    [
        (PASSWORD, 0o640, "may be read by others"),
        ("", 0o600, "does not hold one password"),
        ("one\ntwo", 0o600, "does not hold one password"),
        ("a\0b", 0o600, "does not hold one password"),
        ("x" * 65_536, 0o600, "does not hold one password"),
    ],
)
def test_a_file_that_holds_no_password_is_refused(tmp_path: Path, text: str, mode: int, says: str) -> None:
    path = secret(tmp_path, text, mode)
    with pytest.raises(Refused, match=says) as refused:
        broker_access(user=NAME, password_file=str(path), tls=False, ca_file="")
    assert refused.value.field == "mqtt_password_file"


def test_a_password_is_taken_as_it_is_but_for_its_line_end_and_never_shown(tmp_path: Path) -> None:
    made = broker_access(
        user=NAME, password_file=str(secret(tmp_path, " with blanks ")), tls=False, ca_file=""
    )
    assert made.password == " with blanks "
    assert "blanks" not in repr(made)
    assert (made.port, broker_access(user="", password_file="", tls=True, ca_file="").port) == (1883, 8883)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--mqtt", "127.0.0.1", "--mqtt-password-file", "here"], "goes with a name"),
        (["--mqtt", "127.0.0.1", "--mqtt-user", "a", "--mqtt-password-file", "nowhere"], "cannot be read"),
        (["--mqtt", "127.0.0.1", "--mqtt-ca-file", "nowhere"], "No such file"),
        (["--mqtt", "127.0.0.1", "--mqtt-ca-file", "text"], "no certificate is in it"),
        (["logger.csv", "--mqtt-tls"], "are for a broker"),
    ],
)
def test_what_does_not_fit_is_refused_before_the_watcher_starts(
    yard: Yard,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: list[str],
    says: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "text").write_text("no certificate\n")
    given = ["--tank", "North", "--topic", TOPIC, "--once", *words]
    assert run(["--book", str(yard.path), "--person", "Cleo", "watch", *given]) != 0
    assert says in capsys.readouterr().err

"""Files that grow, turn, are cut short, replaced and half written: each reading reaches the book once."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from herdbook.chores.logger_layouts import Given
from herdbook.watch.following import FollowedFile, FollowedFolder
from herdbook.watch.logger_lines import LoggerLines
from herdbook.watch.reading_feed import Feed
from herdbook.watch.reading_rounds import ReadingRounds
from herdbook.watch.standard_input import StandardInput
from tests.book import reference_chain
from tests.yard import ADA, HOUR, TEN_O_CLOCK, Yard

UTC = Given(zone="UTC", unit="C")
NINE = TEN_O_CLOCK - HOUR


class Logger:
    """A made-up logger: line n is of minute n, and its temperature tells it from every other."""

    @staticmethod
    def line(n: int) -> str:
        minutes = 14 * 60 + n  # 14:00 UTC is nine in the yard's morning
        return f"2026-03-09 {minutes // 60:02}:{minutes % 60:02},{n / 100:.2f}\n"

    @staticmethod
    def reading(n: int) -> tuple[int, int]:
        return NINE + 60 * n, 10 * n


class Barn:
    """A yard with a feed, a log and a folder."""

    def __init__(self, yard: Yard, folder: Path) -> None:
        self.yard, self.folder, self.log = yard, folder, []
        self.path = folder / "logger.csv"
        self.feed = Feed(yard.path, 1, ADA, yard.now, self.log.append, every_s=0, most=1)

    def file(self) -> FollowedFile:
        return FollowedFile(self.path, UTC, self.feed, self.log.append)

    def poll(self, source: FollowedFile | FollowedFolder) -> None:
        while source.poll():
            pass
        self.feed.write()

    @property
    def kept(self) -> list[tuple[int, int]]:
        rows = self.yard.rows("SELECT read_at, tank_mC FROM reading ORDER BY read_at")
        return [(row["read_at"], row["tank_mC"]) for row in rows]

    def append(self, *lines: int, text: str = "") -> None:
        with self.path.open("a") as file:
            file.write("".join(map(Logger.line, lines)) + text)


@pytest.fixture
def barn(yard: Yard, tmp_path: Path) -> Barn:
    folder = tmp_path / "logger"
    folder.mkdir()
    return Barn(yard, folder)


def readings(*numbers: int) -> list[tuple[int, int]]:
    return [Logger.reading(n) for n in numbers]


def test_a_file_that_grows_is_read_on_from_where_it_was(barn: Barn) -> None:
    source = barn.file()
    barn.poll(source)
    assert "is not there (yet)" in barn.log[0]
    barn.append(1, 2)
    barn.poll(source)
    barn.append(3)
    barn.poll(source)
    barn.poll(source)
    assert barn.kept == readings(1, 2, 3)
    assert [row["readings"] for row in barn.yard.rows("SELECT readings FROM reading_batch")] == [2, 1]


def test_half_a_line_waits_for_its_end(barn: Barn) -> None:
    source = barn.file()
    half = Logger.line(2)
    barn.append(1, text=half[:-4])
    barn.poll(source)
    assert barn.kept == readings(1)
    barn.append(text=half[-4:])
    barn.poll(source)
    assert barn.kept == readings(1, 2)
    assert not any("Left out" in line for line in barn.log)


def test_a_file_that_is_turned_loses_and_doubles_nothing(barn: Barn) -> None:
    source = barn.file()
    barn.append(1, 2)
    barn.poll(source)
    barn.path.rename(barn.folder / "logger.csv.1")
    barn.append(3)
    barn.poll(source)
    assert barn.kept == readings(1, 2, 3)
    assert any("another file lies there now" in line for line in barn.log)


def test_a_file_cut_short_is_read_from_its_beginning(barn: Barn) -> None:
    source = barn.file()
    barn.append(1, 2, 3)
    barn.poll(source)
    with barn.path.open("w") as file:
        file.write(Logger.line(4))
    barn.poll(source)
    assert barn.kept == readings(1, 2, 3, 4)
    assert any("cut short" in line for line in barn.log)


def test_a_file_written_over_to_the_same_size_is_noticed(barn: Barn) -> None:
    source = barn.file()
    barn.append(1, 2)
    barn.poll(source)
    times = barn.path.stat()
    with barn.path.open("r+") as file:
        file.write(Logger.line(3) + Logger.line(4))
    os.utime(barn.path, ns=(times.st_atime_ns, times.st_mtime_ns + 1_000_000))
    barn.poll(source)
    assert barn.kept == readings(1, 2, 3, 4)
    assert any("written over" in line for line in barn.log)


def test_a_watcher_that_begins_again_reads_on_by_what_the_book_has(barn: Barn) -> None:
    barn.append(1, 2)
    barn.poll(barn.file())
    barn.append(3)
    barn.poll(barn.file())
    assert barn.kept == readings(1, 2, 3)


def test_a_folder_follows_its_files_and_leaves_unfinished_ones_alone(barn: Barn) -> None:
    source = FollowedFolder(barn.folder, UTC, barn.feed, barn.log.append)
    (barn.folder / "a.csv").write_text(Logger.line(1))
    (barn.folder / "b.csv.part").write_text(Logger.line(2))
    (barn.folder / ".hidden.csv").write_text(Logger.line(3))
    barn.poll(source)
    assert barn.kept == readings(1)
    (barn.folder / "b.csv.part").rename(barn.folder / "b.csv")
    (barn.folder / "a.csv").rename(barn.folder / "a.old")
    (barn.folder / "a.csv").write_text(Logger.line(5))
    barn.poll(source)
    assert barn.kept == readings(1, 2, 5)
    (barn.folder / "a.old").unlink()
    barn.poll(source)
    assert barn.kept == readings(1, 2, 5)


def test_a_folder_that_is_gone_is_said_once(barn: Barn) -> None:
    source = FollowedFolder(barn.folder, UTC, barn.feed, barn.log.append)
    barn.folder.rmdir()
    barn.poll(source)
    barn.poll(source)
    assert len(barn.log) == 1
    assert "cannot be read" in barn.log[0]


def test_rows_that_cannot_be_are_said_and_the_others_written(barn: Barn) -> None:
    barn.append(1, text="2026-03-09 14:02,-127\nnonsense\n")
    barn.append(3)
    barn.poll(barn.file())
    assert barn.kept == readings(1, 3)
    assert any("line 2" in line and "sensor" in line for line in barn.log)
    assert any("line 3" in line for line in barn.log)


def test_what_cannot_be_told_yet_is_read_as_soon_as_it_can(barn: Barn) -> None:
    source = FollowedFile(barn.path, Given(zone="UTC"), barn.feed, barn.log.append)
    barn.path.write_text("2026-03-09 14:01,38.0\n")
    barn.poll(source)
    barn.poll(source)
    assert len([line for line in barn.log if "not read yet" in line and "may be °C or °F" in line]) == 1
    assert barn.kept == []
    with barn.path.open("a") as file:
        file.write("2026-03-09 14:02,48.2\n")
    barn.poll(source)
    assert [mc for _, mc in barn.kept] == [3_333, 9_000]


def test_a_conflict_is_said_and_the_book_keeps_what_it_has(barn: Barn) -> None:
    barn.append(1)
    barn.poll(barn.file())
    barn.path.write_text("2026-03-09 14:01,9.99\n" + Logger.line(2))
    barn.poll(barn.file())
    assert barn.kept == readings(1, 2)
    assert any("but the book has" in line for line in barn.log)


def test_the_doubled_hour_goes_on_from_what_is_known(barn: Barn) -> None:
    barn.yard.now_s = TEN_O_CLOCK  # read in spring, written in autumn: only the order counts
    source = FollowedFile(barn.path, Given(unit="C"), barn.feed, barn.log.append)
    for text in ("00:50,3.1", "01:10,3.2", "01:50,3.3", "01:10,3.4", "01:50,3.5", "02:10,3.6"):
        with barn.path.open("a") as file:
            file.write(f"2025-11-02 {text}\n")
        barn.poll(source)
    whens = [when for when, _ in barn.kept]
    assert [when - whens[0] for when in whens] == [0, 1200, 3600, 4800, 7200, 8400]


@pytest.mark.parametrize(
    ("minutes_on", "first"), [(0, "2025-11-02T01:10:00-05:00"), (60, "2025-11-02T01:10:00-06:00")]
)
def test_a_file_begun_in_the_doubled_hour_is_of_the_time_it_is(
    barn: Barn, minutes_on: int, first: str
) -> None:
    from datetime import datetime

    early = int(datetime.fromisoformat("2025-11-02T01:12:00-05:00").timestamp())
    barn.yard.now_s = early + 60 * minutes_on
    barn.path.write_text("2025-11-02 01:10,3.1\n")
    barn.poll(FollowedFile(barn.path, Given(unit="C"), barn.feed, barn.log.append))
    assert [when for when, _ in barn.kept] == [int(datetime.fromisoformat(first).timestamp())]


def test_beginning_again_in_the_doubled_hour_doubles_nothing(barn: Barn) -> None:
    barn.path.write_text("2025-11-02 00:50,3.1\n2025-11-02 01:10,3.2\n2025-11-02 01:50,3.3\n")
    for _ in range(2):
        barn.poll(FollowedFile(barn.path, Given(unit="C"), barn.feed, barn.log.append))
    assert len(barn.kept) == 3


def test_standard_input_is_read_to_its_end(barn: Barn) -> None:
    out, into = os.pipe()
    ended: list[bool] = []
    lines = LoggerLines("standard input", UTC, barn.feed, barn.log.append)
    rounds = ReadingRounds(StandardInput(out, lines, lambda: ended.append(True)), barn.feed, barn.log.append)
    os.write(into, (Logger.line(1) + Logger.line(2)[:7]).encode())
    rounds.once()
    assert barn.kept == readings(1)
    os.write(into, Logger.line(2)[7:].encode())
    os.close(into)
    rounds.once()
    os.close(out)
    assert barn.kept == readings(1, 2)
    assert ended == [True]


def test_a_line_without_end_is_said_once(barn: Barn) -> None:
    source = barn.file()
    barn.path.write_bytes(b"1" * 4_500_000)
    for _ in range(3):
        source.poll()
    assert len([line for line in barn.log if "more than 4 MB" in line]) == 1


def test_two_probes_that_read_the_same_at_once_are_both_kept(yard: Yard) -> None:
    for probe in ("top", "bottom"):
        feed = Feed(yard.path, 1, ADA, yard.now, print, probe)
        feed.add(readings(1), "a")
        assert feed.write()
    assert [row["probe"] for row in yard.rows("SELECT probe FROM reading_batch ORDER BY id")] == [
        "top",
        "bottom",
    ]


def test_a_fault_in_the_thread_that_reads_ends_the_watcher(barn: Barn) -> None:
    class Broken:
        def start(self, wake: Callable[[], None]) -> None:
            wake()

        def stop(self) -> None:
            pass

        def poll(self) -> bool:
            raise ZeroDivisionError

    rounds = ReadingRounds(Broken(), barn.feed, barn.log.append)
    rounds.see_well()
    rounds.start()
    rounds.stop()
    with pytest.raises(ZeroDivisionError):
        rounds.see_well()


@pytest.mark.parametrize(
    ("rest", "said"), [(b"2026-03-09 14:02,3", "has no end"), (b"1" * 4_200_000, "4 MB")]
)
def test_what_standard_input_ends_in_or_never_ends_is_said_and_left_out(
    barn: Barn, rest: bytes, said: str
) -> None:
    laid = barn.folder / "laid"
    laid.write_bytes(Logger.line(1).encode() + rest)
    lines = LoggerLines("standard input", UTC, barn.feed, barn.log.append)
    with laid.open("rb") as file:
        source = StandardInput(file.fileno(), lines, lambda: None)
        ReadingRounds(source, barn.feed, barn.log.append).once()
    assert barn.kept == readings(1)
    assert len([line for line in barn.log if said in line]) == 1


def test_a_batch_waits_for_its_time_or_its_number(yard: Yard) -> None:
    feed = Feed(yard.path, 1, ADA, yard.now, print, every_s=3_600, most=3)
    done: list[str] = []
    feed.add(readings(1, 2), "a", lambda: done.append("a"))
    feed.write_due()
    assert done == []
    feed.add(readings(3), "a", lambda: done.append("b"))
    feed.write_due()
    assert done == ["a", "b"]
    assert yard.row("SELECT readings FROM reading_batch")["readings"] == 3


def test_a_book_that_cannot_be_written_keeps_readings_waiting(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    from herdbook.errors import BookBusy
    from herdbook.watch import reading_feed

    log: list[str] = []
    feed = Feed(yard.path, 1, ADA, yard.now, log.append, every_s=0, most=1)

    def busy(_name: str) -> Callable[..., object]:
        raise BookBusy(10)

    with monkeypatch.context() as patch:
        patch.setattr(reading_feed, "find_chore", busy)
        feed.add(readings(1), "a")
        assert not feed.write()
        assert not feed.write()
    assert len(log) == 1
    assert feed.write()
    assert yard.row("SELECT readings FROM reading_batch")["readings"] == 1


STEPS = st.lists(st.sampled_from(["line", "half", "turn", "cut", "again", "poll"]), max_size=25)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(STEPS)
def test_whatever_happens_to_the_file_each_whole_line_is_kept_once(
    template_book: Path, tmp_path_factory: pytest.TempPathFactory, steps: list[str]
) -> None:
    folder = tmp_path_factory.mktemp("barn")
    book = folder / "farm.book"
    book.write_bytes(template_book.read_bytes())
    (folder / "logger").mkdir()
    barn = Barn(Yard(book), folder / "logger")
    source, n, whole, half = barn.file(), 0, [], ""
    for step in steps:
        if step in ("line", "half"):
            if half:
                barn.append(text=half)
                whole, half = [*whole, n], ""
            n += 1
            text = Logger.line(n)
            barn.append(text=text if step == "line" else text[:5])
            half = "" if step == "line" else text[5:]
            whole += [n] * (step == "line")
        elif step in ("turn", "cut") and not half:
            barn.poll(source)  # what was never seen before a file goes cannot be known
            if step == "turn" and barn.path.exists():
                barn.path.rename(barn.folder / f"old {n}")
            elif step == "cut":
                barn.path.write_text("")
        elif step == "again":
            source = barn.file()
        else:
            barn.poll(source)
    barn.poll(source)
    barn.yard.book.close()
    assert barn.kept == readings(*whole)
    assert reference_chain.faults(book) == []

"""`check` finds what is wrong with a book, names where, and writes nothing."""

from __future__ import annotations

import ast
import random
import re
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from herdbook.book.checks import Checked, check_book
from herdbook.book.migrations.guards import guard
from herdbook.book.opening import reading
from herdbook.book.rules.looking import every_rule
from herdbook.cli.main import run
from herdbook.errors import DamagedBook
from tests.rules_said import said_by
from tests.yard import DAY, HOUR, MINUTE, TEN_O_CLOCK, Yard


def checked(yard: Yard) -> Checked:
    yard.book.close()
    return check_book(yard.path, yard.now_s)


def says(yard: Yard) -> str:
    """All findings, a line each."""
    return "\n".join(f"{one.part}: {one.about} {one.farm_day} {one.says}" for one in checked(yard).findings)


def forge(yard: Yard, *statements: str) -> None:
    """Change the book as another program could: without guards, constraints or keys."""
    yard.book.close()
    with closing(sqlite3.connect(yard.path, isolation_level=None)) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        triggers = connection.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        connection.execute("BEGIN")
        for name, _ in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            connection.execute(statement)
        for _, sql in triggers:
            connection.execute(sql)
        connection.execute("COMMIT")


def rehash(yard: Yard) -> None:
    """Make the chain whole again, so that only the rules of the book can find what was forged."""
    from herdbook.book.chain import START, entry_hash
    from herdbook.book.reading.entries import rows_of

    previous = START
    with closing(sqlite3.connect(yard.path)) as connection:
        connection.row_factory = sqlite3.Row
        entries = connection.execute("SELECT * FROM entry ORDER BY number").fetchall()
        hashes = []
        for entry in entries:
            columns = {**dict(entry), "previous": previous}
            previous_now, previous = previous, entry_hash(columns, rows_of(connection, entry["number"]))
            hashes.append((entry["number"], previous_now, previous))
    forge(
        yard,
        *(
            f"UPDATE entry SET previous = 'x{number}', hash = 'y{number}' WHERE number = {number}"
            for number, _, _ in hashes
        ),
        *(
            f"UPDATE entry SET previous = '{before}', hash = '{now}' WHERE number = {number}"
            for number, before, now in hashes
        ),
    )


def rules_say(yard: Yard, *statements: str) -> str:
    """What the rules of the book say of a forged book whose chain is whole."""
    forge(yard, *statements)
    rehash(yard)
    found = checked(yard)
    assert all(one.part in ("book", "file") for one in found.findings), found.findings
    return "\n".join(f"{one.about} {one.farm_day} {one.says}" for one in found.findings if one.part == "book")


def test_a_book_written_by_chores_is_clean(yard: Yard) -> None:
    found = checked(yard)
    assert found.findings == ()
    assert found.entries == yard.entries
    assert found.head == yard.row("SELECT hash FROM entry ORDER BY number DESC LIMIT 1")["hash"]


def test_checking_writes_nothing(yard: Yard) -> None:
    yard.book.close()
    before = yard.path.read_bytes()
    check_book(yard.path, yard.now_s)
    assert yard.path.read_bytes() == before


# the chain


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE temperature SET tank_mC = 3000 WHERE id = 1",
        "UPDATE head_count SET head = 51 WHERE id = 1",
        "UPDATE entry SET said = 'nothing' WHERE number = 3",
        "UPDATE entry SET note = 'x' WHERE number = 3",
        "UPDATE entry SET written_ms = written_ms + 1 WHERE number = 3",
        "UPDATE entry SET person = 2 WHERE number = 3",
        "UPDATE entry SET farm_day = '2026-03-08' WHERE number = 3",
        "UPDATE entry SET asked = '{}' WHERE number = 3",
        "UPDATE entry SET request = 'x' WHERE number = 3",
        "UPDATE load_weight SET typed = '2690' WHERE id = 1",
        "DELETE FROM feed_drop WHERE id = 1",
        "INSERT INTO head_count (entry, pen, counted_at, head) VALUES (5, 1, 1773000000, 3)",
        "UPDATE head_count SET entry = 4 WHERE id = 1",
    ],
)
def test_any_change_to_the_past_breaks_the_chain(yard: Yard, statement: str) -> None:
    forge(yard, statement)
    found = [one for one in checked(yard).findings if one.part == "chain"]
    assert found
    assert all(one.entries and re.fullmatch(r"entry \d+", one.about) for one in found)


def test_an_entry_taken_out_leaves_a_gap(yard: Yard) -> None:
    last = yard.entries
    tables = ("milking_start", "milking_end")  # what the milking before the last reading wrote
    forge(
        yard,
        *(f"DELETE FROM {table} WHERE entry = {last - 1}" for table in tables),
        f"DELETE FROM entry WHERE number = {last - 1}",
    )
    assert f"entry {last} 2026-03-09 follows on entry {last - 2}: {last - 1} is missing." in says(yard)


def test_the_head_tells_a_book_that_was_cut_short(yard: Yard) -> None:
    """A tail cut off leaves a whole chain; only the seal that someone wrote down shows it."""
    before = checked(yard).head
    last = yard.entries
    forge(yard, f"DELETE FROM temperature WHERE entry = {last}", f"DELETE FROM entry WHERE number = {last}")
    after = checked(yard)
    assert not [one for one in after.findings if one.part == "chain"]
    assert after.head != before


def test_the_mark_of_a_strike_must_agree_with_the_strike(yard: Yard) -> None:
    struck = yard.do("head", pen="High", head="53").entry
    by = yard.do("strike", entry=str(struck)).entry
    assert checked(yard).findings == ()
    forge(yard, f"UPDATE entry SET struck_by = NULL WHERE number = {struck}")
    assert f"entry {struck}  was struck by entry {by}, but the mark is missing." in says(yard)
    forge(yard, f"UPDATE entry SET struck_by = {by} WHERE number = 5")
    assert f"entry 5  is marked as struck by entry {by}, which strikes nothing of the kind." in says(yard)


def test_an_entry_with_many_rows_in_many_tables_is_hashed_whole(yard: Yard) -> None:
    for number in range(30):
        yard.do("temperature", reading=f"{38 + number / 10}F", read=f"-{30 - number}")
    assert checked(yard).findings == ()


# guards


@pytest.mark.parametrize(
    ("statement", "finds"),
    [
        ("DROP TRIGGER temperature_no_update", "guards: trigger temperature_no_update  is missing."),
        ("DROP INDEX ix_feed_drop_load", "guards: index ix_feed_drop_load  is missing."),
        ("CREATE TABLE cheques (amount)", "guards: table cheques  does not belong in a book."),
        (
            "CREATE TRIGGER quiet AFTER INSERT ON entry BEGIN SELECT 1; END",
            "guards: trigger quiet  does not belong in a book.",
        ),
    ],
)
def test_a_guard_that_is_gone_or_added_is_named(yard: Yard, statement: str, finds: str) -> None:
    yard.book.close()
    with closing(sqlite3.connect(yard.path)) as connection:
        connection.execute(statement)
    assert finds in says(yard)


def test_a_guard_that_lets_through_is_found(yard: Yard) -> None:
    yard.book.close()
    with closing(sqlite3.connect(yard.path)) as connection:
        connection.execute("DROP TRIGGER temperature_no_update")
        connection.execute(
            "CREATE TRIGGER temperature_no_update BEFORE UPDATE ON temperature BEGIN SELECT 1; END"
        )
    assert "guards: trigger temperature_no_update  was changed." in says(yard)


def test_guards_made_again_are_the_same(yard: Yard) -> None:
    yard.book.close()
    with closing(sqlite3.connect(yard.path)) as connection:
        connection.execute("DROP TRIGGER temperature_no_update")
        connection.execute("DROP TRIGGER temperature_no_delete")
        guard(connection, "temperature")
    assert checked(yard).findings == ()


# the file


def test_a_key_that_points_nowhere_is_found(yard: Yard) -> None:
    forge(yard, "UPDATE temperature SET tank = 99 WHERE id = 1")
    assert "file: temperature row 1  points at a tank that is not there." in says(yard)


def test_flipped_bits_never_change_a_fact_unseen(yard: Yard) -> None:
    """60 bits of the book's pages turned over, one at a time: found, or nothing that is read has changed."""
    yard.book.close()
    whole = yard.path.read_bytes()
    before = yard.state()
    chance = random.Random(20260309)
    found = 0
    for _ in range(60):
        spot = chance.randrange(100, len(whole))
        turned = bytearray(whole)
        turned[spot] ^= 1 << chance.randrange(8)
        yard.path.write_bytes(turned)
        if check_book(yard.path, yard.now_s).findings:
            found += 1
            continue
        assert yard.state() == before, f"byte {spot} was changed and nobody saw it"
    assert found > 0


def test_a_book_whose_own_plan_is_no_longer_text_is_damaged_not_a_crash(yard: Yard) -> None:
    """SQLite quotes the plan of the tables in its complaint, and Python cannot read what it quotes."""
    yard.book.close()
    whole = yard.path.read_bytes()
    yard.path.write_bytes(whole.replace(b"CREATE TABLE", b"CREATE \xceABLE", 1))
    assert [one.part for one in check_book(yard.path, yard.now_s).findings] == ["file"]
    with pytest.raises(DamagedBook, match="no letters"), reading(yard.path):
        pass


def test_an_instant_no_calendar_has_is_a_finding_not_a_crash(yard: Yard) -> None:
    forge(yard, "UPDATE temperature SET read_at = 116144000000000 WHERE id = 1")
    told = says(yard)
    assert "file: the file  CHECK constraint failed in temperature." in told
    assert "no chore could have written" in told
    assert "chain: entry" in told


def test_a_bound_that_was_walked_past_is_found_even_in_a_chain_made_anew(yard: Yard) -> None:
    forge(yard, "UPDATE load_weight SET typed = typed || char(7) WHERE id = 1")
    rehash(yard)
    assert "file: the file  CHECK constraint failed in load_weight." in says(yard)


def test_checking_writes_nothing_in_a_book_whose_log_is_full(yard: Yard) -> None:
    """A program that was killed left it; whoever checks leaves it as evidence."""
    code = (
        "import os, sqlite3, sys; b = sqlite3.connect(sys.argv[1])\n"
        "b.execute(\"INSERT INTO draft VALUES (1, 'pen', 'r', '{}', 1)\"); b.commit(); os._exit(0)"
    )
    yard.book.close()
    subprocess.run([sys.executable, "-c", code, str(yard.path)], check=True)
    log = yard.path.with_name("farm.book-wal")
    before = yard.path.read_bytes(), log.read_bytes()
    assert before[1]
    assert check_book(yard.path, yard.now_s).findings == ()
    assert (yard.path.read_bytes(), log.read_bytes()) == before


def test_a_book_cut_short_is_a_finding_not_a_crash(yard: Yard) -> None:
    yard.book.close()
    whole = yard.path.read_bytes()
    for size in (100, 4096, len(whole) // 2, len(whole) - 4096):
        yard.path.write_bytes(whole[:size])
        found = check_book(yard.path, yard.now_s)
        assert found.findings
        assert {one.part for one in found.findings} & {"file", "guards"}


SHARED = """
import os, signal, sys
from pathlib import Path
from herdbook.book import checks
def told():
    found = checks.check_book(Path(sys.argv[1]), int(sys.argv[2]))
    return found.entries, found.head, found.findings
alone = told()
assert "multiprocessing" not in sys.modules
checks.LONG_BOOK_BYTES, os.cpu_count = 0, lambda: 2
assert told() == alone
assert "multiprocessing" in sys.modules
mine, real = os.getpid(), checks._file_and_rules
def killed(path, now_s):
    return real(path, now_s) if os.getpid() == mine else os.kill(os.getpid(), signal.SIGKILL)
checks._file_and_rules = killed
assert told() == alone
print(sorted({one.part for one in alone[2]}))
"""


def test_a_second_process_finds_the_same_and_may_be_killed(yard: Yard) -> None:
    forge(
        yard,
        "UPDATE temperature SET tank_mC = 90000 WHERE id = 1",
        "UPDATE head_count SET pen = 99 WHERE id = 1",
        "CREATE TABLE cheques (id, entry)",
    )
    done = subprocess.run(
        [sys.executable, "-c", SHARED, str(yard.path), str(yard.now_s)],
        capture_output=True, text=True, check=False, cwd=Path(__file__).parents[1],
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert {"file", "guards", "chain"} <= set(ast.literal_eval(done.stdout))


# the rules of the book


def _sql(yard: Yard, chore: str) -> int:
    return int(yard.row("SELECT min(number) AS number FROM entry WHERE chore = ?", chore)["number"])


RULES: list[tuple[str, str, str, Callable[[Yard], Iterator[str]]]] = []


def breaks(
    rule: str, name: str, finds: str
) -> Callable[[Callable[[Yard], Iterator[str]]], Callable[[Yard], Iterator[str]]]:
    def register(function: Callable[[Yard], Iterator[str]]) -> Callable[[Yard], Iterator[str]]:
        RULES.append((rule, name, finds, function))
        return function

    return register


@breaks(
    "loads_and_drops_fit",
    "more dropped than loaded",
    "load 1 2026-03-09 2,800 lb was dropped, 2,690 lb was loaded.",
)
def _(yard: Yard) -> Iterator[str]:
    yield f"UPDATE feed_drop SET dropped_g = {round(2800 * 453.59237)}"


@breaks(
    "what_is_dropped_was_mixed",
    "dropped from a load never mixed",
    "load 1 2026-03-09 pen High got feed of it, but nothing was weighed into it.",
)
def _(yard: Yard) -> Iterator[str]:
    yield f"DELETE FROM load_weight WHERE entry = {_sql(yard, 'weigh')}"


@breaks(
    "what_is_dropped_was_mixed",
    "dropped before it was begun",
    "load 1 2026-03-09 pen High got feed of it at 2026-03-09 04:00, before it was begun at",
)
def _(yard: Yard) -> Iterator[str]:
    yield f"UPDATE feed_drop SET dropped_at = {TEN_O_CLOCK - 6 * HOUR}"


@breaks(
    "loads_and_drops_fit", "over the mixer", "load 1 2026-03-09 9,000 lb in it; Big wagon holds 8,000 lb."
)
def _(yard: Yard) -> Iterator[str]:
    yield f"UPDATE load_weight SET loaded_g = {round(9000 * 453.59237)}"


@breaks(
    "a_milking_ends_after_it_starts",
    "a milking that ends before it starts",
    "milking into tank North 2026-03-09 ended at 2026-03-09 03:00, not after it began at",
)
def _(yard: Yard) -> Iterator[str]:
    yield f"UPDATE milking_end SET ended_at = {TEN_O_CLOCK - 7 * HOUR}"


@breaks(
    "a_milking_ends_after_it_starts",
    "a milking of more than a day",
    "milking into tank North 2026-03-07 began at 2026-03-07",
)
def _(yard: Yard) -> Iterator[str]:
    yield f"UPDATE milking_start SET started_at = {TEN_O_CLOCK - 2 * DAY}"


@breaks(
    "temperatures_are_of_milk",
    "a reading no milk has",
    "tank North 2026-03-09 read 149.0 °F at 2026-03-09 09:00, which no milk has.",
)
def _(yard: Yard) -> Iterator[str]:
    yield "UPDATE temperature SET tank_mC = 65000"


@breaks(
    "nothing_happened_after_it_was_written",
    "a fact after its writing",
    "(temperature) is of 2026-03-09 14:00, after it was written.",
)
def _(yard: Yard) -> Iterator[str]:
    yield f"UPDATE temperature SET read_at = {TEN_O_CLOCK + 4 * HOUR}"


@breaks(
    "nothing_is_written_ahead_of_time",
    "an entry from the future",
    "was written at 2026-03-10 10:00, which lies ahead.",
)
def _(yard: Yard) -> Iterator[str]:
    yield f"UPDATE entry SET written_ms = {(TEN_O_CLOCK + DAY) * 1000} WHERE number = 5"


@breaks(
    "a_fed_pen_has_a_head_count",
    "no head count",
    "pen High 2026-03-09 got feed, but had no head count by then.",
)
def _(yard: Yard) -> Iterator[str]:
    yield f"DELETE FROM head_count WHERE entry = {_sql(yard, 'pen')}"


@breaks("names_are_used_once", "two of one name", "pen high  is the name of 2 different ones.")
def _(yard: Yard) -> Iterator[str]:
    yield "UPDATE pen_card SET name = 'HIGH' WHERE name = 'Far dry'"


@breaks("an_owner_is_left", "no owner", "people  nobody active is an owner.")
def _(yard: Yard) -> Iterator[str]:
    yield "UPDATE person_card SET roles = 'reader' WHERE name = 'Ada'"


@breaks(
    "a_chart_rises", "a chart that falls", "tank North  has a chart that does not rise from mark to mark."
)
def _(yard: Yard) -> Iterator[str]:
    yield "UPDATE stick_mark SET milk_g = 1000000 WHERE id = 2"


@breaks(
    "a_chart_rises", "a chart over the tank", "tank North  has a chart up to 20,000 lb, but holds 15,000 lb."
)
def _(yard: Yard) -> Iterator[str]:
    yield f"UPDATE tank_card SET capacity_g = {round(15000 * 453.59237)}"


@breaks(
    "no_tank_holds_more_than_it_can",
    "more milk than the tank holds",
    "tank North 2026-03-09 holds 24,000 lb on paper, 21,500 lb at most.",
)
def _(yard: Yard) -> Iterator[str]:
    yield f"UPDATE milking_end SET milk_g = {round(24000 * 453.59237)}"


@pytest.mark.parametrize(("rule", "finds", "forged"), [pytest.param(r, f, g, id=n) for r, n, f, g in RULES])
def test_each_rule_finds_what_breaks_it(
    yard: Yard, rule: str, finds: str, forged: Callable[[Yard], Iterator[str]]
) -> None:
    assert finds in rules_say(yard, *forged(yard))
    assert finds in said_by(yard, rule)


def test_every_rule_is_broken_by_a_test() -> None:
    """By one of those above, or where a test puts what it broke to `said_by`."""
    named = {rule for rule, *_ in RULES}
    for path in Path(__file__).parent.glob("**/test_*.py"):
        named |= set(re.findall(r'said_by\(yard, "(\w+)"\)', path.read_text()))
    assert named == {one.__name__ for one in every_rule()}


def test_a_pickup_heavier_than_its_tank_is_found(yard: Yard) -> None:
    yard.do("pickup", weight="4000", ticket="A1")
    said = rules_say(yard, f"UPDATE pickup_ticket SET milk_g = {round(22000 * 453.59237)}")
    assert "pickup from tank North 2026-03-09 of 22,000 lb is heavier than the tank holds, 21,500 lb." in said
    assert said_by(yard, "a_pickup_fits_its_tank")


def test_a_ticket_written_twice_is_found(yard: Yard) -> None:
    first = yard.do("pickup", weight="4000", ticket="A1", picked="-30").entry
    yard.do("pickup", weight="100", ticket="A2")
    said = rules_say(yard, "UPDATE pickup_ticket SET ticket = 'A1'")
    assert f"has the ticket A1, which entry {first} has too." in said
    assert said_by(yard, "a_ticket_is_written_once")


def test_a_refusal_larger_than_what_was_fed_is_found(yard: Yard) -> None:
    entry = yard.do("refusal", pen="High", weight="84", fed="today").entry
    assert checked(yard).findings == ()
    said = rules_say(yard, f"UPDATE refusal SET refused_g = {round(2700 * 453.59237)} WHERE entry = {entry}")
    assert "pen High 2026-03-09 refused 2,700 lb of 2,600 lb fed." in said
    assert said_by(yard, "no_more_is_refused_than_was_fed")


def test_what_was_fed_again_counts_as_fed(yard: Yard) -> None:
    yard.do("refusal", pen="High", weight="84", fed="today", went="re-fed", to="Far dry")
    yard.now_s += DAY
    yard.do("refusal", pen="Far dry", weight="80", fed="2026-03-09")
    assert checked(yard).findings == ()


def test_milkings_that_overlap_are_found(yard: Yard) -> None:
    yard.do("milking", started="-60", ended="-5", cows="100")
    said = rules_say(yard, f"UPDATE milking_start SET started_at = {TEN_O_CLOCK - 3 * HOUR} WHERE id = 2")
    assert "milking into tank North 2026-03-09 began at 2026-03-09 07:00, before the one before it" in said
    assert said_by(yard, "milkings_follow_each_other")


def test_a_milking_without_its_end_is_found_once_another_began_or_a_day_passed(yard: Yard) -> None:
    yard.do("milking", started="-60")
    assert checked(yard).findings == ()
    yard.now_s += DAY + HOUR
    assert "began at 2026-03-09 09:00 and has no end, more than a day later." in says(yard)


def test_a_fact_that_leans_on_what_was_struck_is_found(yard: Yard) -> None:
    pen = _sql(yard, "pen")
    by = yard.do("head", pen="Far dry", head="17").entry
    said = rules_say(
        yard,
        f"UPDATE entry SET strikes = {pen} WHERE number = {by}",
        f"UPDATE entry SET struck_by = {by} WHERE number = {pen}",
    )
    drop = _sql(yard, "drop")
    assert f"entry {drop} 2026-03-09 leans on a pen that was struck and not replaced." in said
    assert said_by(yard, "facts_lean_on_what_stands")


@pytest.mark.parametrize(
    ("name", "texts"),
    [
        ("level", {"milk": "900", "tank": "Old"}),
        ("wash", {"what": "tank", "tank": "Old"}),
        ("thermometer-check", {"shown": "39", "reference": "38", "tank": "Old"}),
        ("held-milk-in", {"cow": "412", "tank": "Old"}),
        ("milk-test", {"result": "clear", "told": "the buyer", "tank": "Old"}),
        ("dump", {"milk": "900", "reason": "held", "tank": "Old"}),
    ],
)
def test_what_was_written_of_a_tank_leans_on_its_card(yard: Yard, name: str, texts: dict[str, str]) -> None:
    tank = yard.do("tank", name="Old", holds="5000").entry
    fact = yard.do(name, **texts).entry
    by = yard.do("head", pen="Far dry", head="17").entry
    said = rules_say(
        yard,
        f"UPDATE entry SET strikes = {tank} WHERE number = {by}",
        f"UPDATE entry SET struck_by = {by} WHERE number = {tank}",
    )
    assert f"entry {fact} 2026-03-09 leans on a tank that was struck and not replaced." in said


MAY_LIE_AHEAD = {("walk_note", "watch_again_at")}
HELD_BY_ANOTHER = {("reading_batch", "first_at"), ("alarm_step", "at")}


def test_every_instant_in_the_book_is_held_against_when_it_was_written(yard: Yard) -> None:
    from herdbook.book.chain import chained_tables
    from herdbook.book.rules.things import INSTANTS

    with reading(yard.path) as connection:
        instants = {
            (table, row["name"])
            for table in chained_tables(connection)
            for row in connection.execute(f"PRAGMA table_info({table})")
            if row["name"] == "at" or row["name"].endswith("_at")
        }
    assert instants - MAY_LIE_AHEAD - HELD_BY_ANOTHER == set(INSTANTS.items())


def test_a_scale_step_too_much_is_no_finding(yard: Yard) -> None:
    """2,690 lb loaded; one drop of 2,700 lb is two steps of 5 lb over, as two readings of the scale may be."""
    said = rules_say(yard, f"UPDATE feed_drop SET dropped_g = {round(2700 * 453.59237)}")
    assert "was dropped" not in said


def test_two_clocks_a_few_minutes_apart_are_no_finding(yard: Yard) -> None:
    assert "after it was written" not in rules_say(
        yard, f"UPDATE temperature SET read_at = (SELECT max(written_ms) FROM entry) / 1000 + {9 * MINUTE}"
    )


def test_a_book_without_a_farm_is_a_finding(tmp_path: Path) -> None:
    from herdbook.book.opening import new_book

    new_book(tmp_path / "bare.book")
    found = check_book(tmp_path / "bare.book", TEN_O_CLOCK)
    assert [one.says for one in found.findings] == [
        "This book has no farm in it. Start one with `herdbook new`."
    ]


# the command


@pytest.mark.parametrize(("forged", "status"), [(False, 0), (True, 1)])
def test_the_command_ends_as_the_book_is(
    yard: Yard, capsys: pytest.CaptureFixture[str], forged: bool, status: int
) -> None:
    if forged:
        forge(yard, "UPDATE temperature SET tank_mC = 3000 WHERE id = 1")
    yard.book.close()
    assert run(["--book", str(yard.path), "check"], now=yard.now) == status
    out, err = capsys.readouterr()
    assert err == ""
    assert max(map(len, out.splitlines())) <= max(80, len(str(yard.path)) + 40)
    assert ("1 finding." in out) is forged


def test_a_finding_names_entry_day_and_tank(yard: Yard, capsys: pytest.CaptureFixture[str]) -> None:
    forge(yard, "UPDATE temperature SET tank_mC = 65000")
    run(["--book", str(yard.path), "check", "--as", "json"], now=yard.now)
    import json

    made = json.loads(capsys.readouterr().out)
    finding = next(one for one in made["findings"] if one["part"] == "book")
    assert (finding["about"], finding["farm_day"], finding["entries"]) == (
        "tank North",
        "2026-03-09",
        [_sql(yard, "temperature")],
    )
    assert (made["clean"], made["entries"], len(made["head"])) == (False, yard.entries, 64)

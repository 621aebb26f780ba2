"""A nutritionist at a new farm over a terminal of 60x20, who knows no key but F1: every other is read from its list."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from tests.seat import FarmTime, Seat
from tests.yard import HOUR, TEN_O_CLOCK, Yard

SMALL = (60, 20)


class Newcomer(Seat):
    """Reads the list of keys once a place, and presses what it says for what is wanted."""

    def quiet(self, for_s: float = 0.3, *, within_s: float = 20.0) -> int:
        """Wait long enough for a slow machine: an Enter too early would say yes to a question not seen."""
        return super().quiet(max(for_s, 0.35), within_s=within_s)

    def learn(self) -> None:
        """Read F1 page by page."""
        self.press("f1")
        self.wait("ALL KEYS")
        told: list[str] = []
        for page in self.pages():
            told += [line.strip() for line in page]
        self.told = told
        self.press("esc")
        self.quiet(0.15)

    def pages(self) -> Iterator[list[str]]:
        """The rows of the sheet that is open, page by page."""
        for _ in range(40):
            self.quiet(0.3)
            before = self.text
            yield self.lines[4:-3]
            if " more lines, PgDn" not in before:
                return
            self.press("pgdn")
            self.wait(lambda text, before=before: text != before, "the next page")

    def key(self, words: str) -> str:
        """The key that stands before the words that say what it does."""
        entries: list[str] = []
        for line in self.told:
            if re.match(r"\S+(?: \S+)? {2,}\S", line) or not entries:
                entries.append(line)
            else:
                entries[-1] += f" {line}"
        for entry in entries:
            if words in re.sub(r" +", " ", entry):
                return entry.split()[0].lower()
        raise AssertionError(f"F1 does not say {words!r}:\n" + "\n".join(self.told))

    def do(self, words: str) -> None:
        """Press the key that F1 gives for it, once the screen is still."""
        self.quiet(0.5)
        self.press({"enter": "enter", "esc": "esc"}.get(self.key(words), self.key(words)))


@pytest.fixture
def farm(tmp_path) -> Yard:
    """A farm of a day: its people, one pen with its cows, a mixer and a tank. No feed and no ration."""
    yard = Yard.started(tmp_path / "new.herdbook", at_s=TEN_O_CLOCK - 26 * HOUR)
    yard.do("person", name="Ben", roles="nutritionist")
    yard.do("pen", name="High", head="50")
    yard.do("mixer", name="Wagon", holds="6 ton", step="5 lb")
    yard.now_s = TEN_O_CLOCK
    return yard


@pytest.fixture
def seat(farm: Yard, tmp_path) -> Iterator[Newcomer]:
    """Ben's terminal."""
    time = FarmTime(tmp_path / "clock", "2026-03-08 08:00")
    with Newcomer(farm.path, time, "Ben", SMALL) as seat:
        seat.time = time
        seat.wait("Ration desk")
        seat.quiet(0.5)
        yield seat


FEEDS = (
    ("Corn silage", "forage", "52", "34", ("cp=8", "ndf=40", "ca=0.25")),
    ("Soybean meal", "protein", "412", "89", ("cp=53", "ndf=9", "ca=0.35")),
    ("Ground corn", "grain", "178", "88", ("cp=9", "ndf=10", "ca=0.03")),
)


def write_feeds(seat: Newcomer) -> None:
    """F and A for each feed."""
    for name, kind, price, dry, values in FEEDS:
        seat.do("Writes a new feed")
        seat.fill("A FEED", {"Name": name, "Kind": kind, "Price": price}, written=f"Feed {name}")
        seat.quiet(0.3)
        seat.do("Writes an analysis of a feed")
        pairs = [tuple(value.split("=")) for value in values]
        seat.fill("A FEED ANALYSIS", {"Feed": name, "Dry matter": dry, "Nutrient": pairs}, written=name)
        seat.quiet(0.3)


@pytest.mark.slow
def test_from_no_feed_to_a_ration_in_use_and_a_suggestion_taken_line_by_line(
    seat: Newcomer, farm: Yard
) -> None:
    seat.learn()
    write_feeds(seat)
    seat.do("Writes the next version as a form")
    items = [("Corn silage", "60"), ("Soybean meal", "8"), ("Ground corn", "14")]
    seat.fill("A RATION VERSION", {"Name": "High", "Feed": items}, written="Ration High, version 1")
    seat.wait("High  version 1")
    seat.do("Says which pen gets which ration")
    seat.fill("A PEN'S RATION", {"Pen": "High", "Ration": "High"}, written="High")
    seat.do("Sets the targets")
    limits = [("cp", "15.5 16.5 17.5"), ("dm_intake", "36 38 42 lb"), ("ndf", "24 - 34"), ("ca", "- - 0.8")]
    seat.fill("A RATION'S TARGETS", {"Ration": "High", "Figure": limits}, written="High: 4 targets")
    seat.quiet(0.4)
    # 60 x 0.34 + 8 x 0.89 + 14 x 0.88 = 39.84 lb; protein (1.632 + 3.7736 + 1.1088) / 39.84 = 16.35 %
    assert "39.84" in seat.text
    assert re.search(r"CP % +16\.4", seat.text)

    # what if: more silage; every figure moves; nothing is in the book; then a version of it
    entries = farm.entries
    seat.press("65")
    seat.wait("41.54")  # 5 lb more are 1.70 lb of dry matter
    seat.press("enter")
    seat.wait("Draft kept")
    assert farm.entries == entries
    seat.do("Uses the draft")
    seat.fill("A RATION VERSION", {}, written="Ration High, version 2")
    seat.wait("High  version 2")

    # the cheapest within the targets; one line is left, the others go into the draft
    seat.do("Suggests the cheapest amounts")
    seat.wait("least cost")
    seat.wait("[x]")
    lines = [line for line in seat.lines if "[x]" in line]
    seat.press(" ")
    seat.wait("[ ]")
    assert farm.entries == entries + 1
    seat.press("enter")
    seat.wait(f"{len(lines) - 1} of {len(lines)} lines are in the draft")
    seat.do("Uses the draft")
    seat.fill("A RATION VERSION", {}, written="Ration High, version 3")
    seat.do("Lists the versions")
    seat.wait("VERSIONS")
    assert sum(line.lstrip(" ▸0123456789").startswith("Version") for line in seat.lines) == 3
    seat.press("esc")


@pytest.mark.slow
def test_what_was_fed_stands_beside_what_was_set(seat: Newcomer, farm: Yard) -> None:
    for name, kind, price, dry, values in FEEDS:
        farm.do("feed", name=name, kind=kind, price=price)
        farm.do("analysis", feed=name, dry=dry, value=list(values))
    farm.now_s = TEN_O_CLOCK - 26 * HOUR
    farm.do("ration", name="High", item=["Corn silage=60", "Soybean meal=8", "Ground corn=14"])
    farm.do("pen-ration", pen="High", ration="High")
    farm.do("load", pen="High", loaded=["Corn silage=3000", "Soybean meal=380", "Ground corn=720"])
    farm.do("drop", load="1", pen="High", weight="4050")
    farm.do("refusal", pen="High", weight="160")
    farm.book.close()
    seat.press("f2")
    seat.wait("Today")
    seat.time.set("2026-03-09 10:00")
    seat.press("f5")
    seat.wait("High  version 1")
    seat.learn()
    seat.do("Was it fed as set")
    seat.wait("1  Set, mixed, dropped, eaten: High")
    seat.press("1")
    seat.wait("the four rations")
    told = [line for page in seat.pages() for line in page]
    whole = re.sub(r"\s+", " ", " ".join(told))
    # a head: set 39.84 lb; mixed (3000 x 0.34 + 380 x 0.89 + 720 x 0.88) / 50 = 39.84 lb; 4050 of 4100 dropped: 39.35
    # refused 160 lb at the load's own 48.58 % dry matter are 1.55 lb: eaten 37.80
    for words in ("Dry matter set 39.84 lb", "Dry matter mixed 39.84 lb", "Dry matter dropped 39.35 lb",
                  "Dry matter eaten 37.80 lb", "Eaten less set -2.04 lb"):  # fmt: skip
        assert words in whole, whole
    assert "Most of it refusal" in whole

"""Lines, text widgets, signs and roles: exact text, cut with a sign, coloured by the theme alone."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from parts_stage import HOSTILE, Stage, rows_of, shown
from rich.style import Style
from rich.text import Text

from herdbook.screens import theme
from herdbook.screens.parts.lines import fit, harmless, heading, padded, pieces, two_ends
from herdbook.screens.parts.roles import Roles
from herdbook.screens.parts.signs import PLAIN, UNICODE, SignSet, choose_signs
from herdbook.screens.parts.text import Block, Line

NIGHT = Roles(theme.NIGHT)


def width_of(text: Text) -> int:
    return text.cell_len


# -- lines --


def test_what_does_not_fit_ends_in_the_sign_for_more():
    assert fit(Text("corn silage"), 8).plain == "corn si…"
    assert fit(Text("corn silage"), 8, PLAIN).plain == "corn ..."
    assert fit(Text("corn silage"), 11).plain == "corn silage"


def test_a_wide_sign_is_not_cut_in_half():
    assert width_of(fit(Text("牛牛牛牛"), 6)) <= 6
    assert width_of(padded(Text("牛牛牛牛"), 6)) == 6


@given(text=st.text(max_size=40), width=st.integers(1, 60))
def test_padded_is_as_wide_as_asked(text, width):
    line = harmless(text)
    assert width_of(padded(Text(line), width)) == width
    assert width_of(padded(Text(line), width, "right")) == width


@given(left=st.text("abc ", max_size=50), right=st.text("xyz", max_size=50), width=st.integers(1, 60))
def test_two_ends_fill_the_line_and_keep_the_right_one(left, right, width):
    line = two_ends(left, right, width)
    assert width_of(line) == width
    if len(right) <= width and right:
        assert line.plain.endswith(right)


def test_a_heading_runs_to_the_edge():
    assert heading("NEXT", "", 12).plain == " NEXT ───── "
    assert heading("BOOK", "newest", 24, at_end="2 more").plain == " BOOK newest ─── 2 more "


@given(st.text())
def test_nothing_unprintable_is_left_and_the_length_stays(text):
    clean = harmless(text)
    assert clean.isprintable()
    assert len(clean) == len(text)


# -- signs and roles --


@pytest.mark.parametrize(
    ("setting", "environ", "signs"),
    [
        ("auto", {"TERM": "xterm-256color", "LANG": "en_US.UTF-8"}, UNICODE),
        ("auto", {"TERM": "linux", "LANG": "en_US.UTF-8"}, PLAIN),
        ("auto", {"TERM": "xterm", "LANG": "C"}, PLAIN),
        ("auto", {"TERM": "xterm", "LANG": "C", "LC_ALL": "C.UTF-8"}, UNICODE),
        ("auto", {"TERM": "vt220-8"}, PLAIN),
        ("auto", {}, PLAIN),
        ("plain", {"TERM": "xterm-256color", "LANG": "en_US.UTF-8"}, PLAIN),
        ("unicode", {"TERM": "linux"}, UNICODE),
    ],
)
def test_the_sign_set_follows_the_setting_then_the_terminal(setting, environ, signs):
    assert choose_signs(setting, environ) is signs


def test_plain_signs_are_ascii_and_both_sets_are_whole():
    words = [name for name in SignSet.__dataclass_fields__ if name != "plain"]
    assert all(getattr(PLAIN, name).isascii() and getattr(PLAIN, name) for name in words)
    assert all(getattr(UNICODE, name) for name in words)
    assert len(PLAIN.heights) == len(UNICODE.heights) == 3
    assert len(PLAIN.steps) == len(UNICODE.steps)


def test_roles_come_from_the_theme_and_words_add_up():
    assert NIGHT.style("bold ice") == Style.parse("bold #87d7d7")
    assert NIGHT.style("warn") == Style.parse("#121212 on #ffd75f")
    assert NIGHT.style("no-such-role") == Style()


def test_a_badge_without_colours_is_reverse_so_it_still_stands_out():
    roles = Roles(theme.NONE)
    assert roles.style("warn").reverse
    assert roles.style("alert").reverse


# -- widgets --


async def test_hostile_text_is_shown_and_does_nothing():
    app = Stage(*map(Line, HOSTILE), Block([*HOSTILE, *(Text(text, "hay") for text in HOSTILE)]))
    async with app.run_test(size=(60, 30)) as pilot:
        everything = "".join(strip.text for strip in app.screen._compositor.render_strips())
        assert everything.isprintable()
        assert not any("\u2066" <= sign <= "\u2069" or "\u202a" <= sign <= "\u202e" for sign in everything)
        assert rows_of(app)[0] == HOSTILE[0]
        for y in range(0, 24, len(HOSTILE)):
            for x in (3, 14, 28):
                await pilot.click(offset=(x, y))
        assert app.is_running


async def test_an_action_hidden_in_a_style_is_dropped():
    line = Line(Text.assemble(("click me", Style(meta={"@click": "app.quit"}))))
    app = Stage(line)
    async with app.run_test(size=(40, 3)) as pilot:
        assert all(not (segment.style and segment.style.meta) for segment in line.render_line(0))
        await pilot.click(offset=(2, 0))
        assert app.is_running


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (40, 10), (5, 3)])
async def test_a_long_line_is_cut_with_a_sign_at_any_width(size):
    line = Line(pieces(("Written: ", "dust"), "a very long sentence " * 20))
    async with Stage(line).run_test(size=size):
        assert shown(line) == [shown(line)[0]]
        assert len(shown(line)[0]) == size[0]
        assert shown(line)[0].endswith("…")


async def test_a_line_in_plain_signs_is_cut_with_points():
    line = Line("a very long sentence " * 20)
    async with Stage(line, signs=PLAIN).run_test(size=(40, 4)):
        assert shown(line)[0].endswith("...")


async def test_showing_the_same_again_sends_nothing_and_a_change_sends_only_its_cells(monkeypatch):
    line, block = Line("scale 641 lb"), Block(["one", "two"])
    app = Stage(line, block)
    async with app.run_test(size=(60, 6)) as pilot:
        await pilot.pause()
        sent = []
        refresh = Line.refresh
        monkeypatch.setattr(
            Line,
            "refresh",
            lambda self, *regions, **more: (sent.append(regions), refresh(self, *regions, **more))[1],
        )
        line.show("scale 641 lb")
        assert sent == []
        line.show("scale 648 lb")
        assert [(region.x, region.width) for regions in sent for region in regions] == [(8, 1)]


async def test_a_block_grows_with_its_lines():
    block = Block(["one"])
    async with Stage(block, Line("below")).run_test(size=(40, 8)) as pilot:
        block.show(["one", "two", "three"])
        await pilot.pause()
        assert shown(block) == ["one", "two", "three"]


async def test_every_part_takes_the_colours_of_another_theme():
    line = Line(pieces(("late", "alert")))
    app = Stage(line)
    async with app.run_test(size=(40, 3)) as pilot:
        before = line.render_line(0)
        day = theme.theme("day")
        app.register_theme(day)
        app.theme = day.name
        await pilot.pause()
        assert line.render_line(0) != before
        assert line.render_line(0).text == before.text

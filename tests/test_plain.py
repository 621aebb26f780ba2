"""Text from people is harmless wherever it is shown."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from herdbook.plain import LONGEST, plain

ESC, CSI, OSC, DCS, ST, BEL = "\x1b", "\x9b", "\x9d", "\x90", "\x9c", "\x07"

HOSTILE = {
    # control sequences, 7-bit and 8-bit (ECMA-48, 5.4 and 8.3)
    "colour": (f"{ESC}[31mred", "red"),
    "colour, 8-bit": (f"{CSI}31mred", "red"),
    "clear the screen": (f"a{ESC}[2Jb", "ab"),
    "clear the screen, 8-bit": (f"a{CSI}2Jb", "ab"),
    "home the cursor": (f"{ESC}[Hx", "x"),
    "many parameters": (f"{ESC}[1;2;3;4;5;6mx", "x"),
    "private mode": (f"{ESC}[?1049hx", "x"),
    "intermediate bytes": (f"{ESC}[2 qx", "x"),
    "colon parameters": (f"{ESC}[38:2::255:0:0mx", "x"),
    "insert mode": (f"{ESC}[4hx", "x"),
    "ask where the cursor is": (f"{ESC}[6nx", "x"),
    "resize the window": (f"{ESC}[8;1;1tx", "x"),
    # other escapes
    "reset": (f"{ESC}cx", "x"),
    "save the cursor": (f"{ESC}7x{ESC}8", "x"),
    "choose a character set": (f"{ESC}(0lqk", "lqk"),
    "reverse line feed": (f"{ESC}Mx", "x"),
    "escape at the end": (f"x{ESC}", "x"),
    "two escapes": (f"{ESC}{ESC}[31mx", "x"),
    "escape before a letter of another script": (f"{ESC}éx", "éx"),
    # strings
    "title": (f"{ESC}]0;owned{BEL}x", "x"),
    "title, ended by ST": (f"{ESC}]0;owned{ESC}\\x", "x"),
    "title, 8-bit": (f"{OSC}0;owned{ST}x", "x"),
    "clipboard": (f"{ESC}]52;c;cm0gLXJm{BEL}x", "x"),
    "clipboard, 8-bit": (f"{OSC}52;c;cm0gLXJm{BEL}x", "x"),
    "clipboard, never ended": (f"x{ESC}]52;c;cm0gLXJm", "x"),
    "link": (f"{ESC}]8;;http://a.test{ESC}\\here{ESC}]8;;{ESC}\\", "here"),
    "device control": (f"{ESC}P+q544e{ESC}\\x", "x"),
    "device control, 8-bit": (f"{DCS}1$r0m{ST}x", "x"),
    "application command": (f"{ESC}_Gi=1;AAAA{ESC}\\x", "x"),
    "privacy message": (f"{ESC}^secret{ESC}\\x", "x"),
    "start of string": (f"{ESC}Xsecret{ESC}\\x", "x"),
    # single controls
    "nothing": ("", ""),
    "nul": ("a\x00b", "ab"),
    "bell": ("a\x07b", "ab"),
    "backspace over a word": ("safe\x08\x08\x08\x08evil", "safeevil"),
    "carriage return over a line": ("safe\revil", "safeevil"),
    "line feed": ("one\ntwo", "one two"),
    "tab": ("one\ttwo", "one two"),
    "vertical tab and form feed": ("a\x0bb\x0cc", "abc"),
    "shift out": ("a\x0eb\x0f", "ab"),
    "cancel": ("a\x18b\x1ac", "abc"),
    "delete": ("a\x7fb", "ab"),
    "next line, 8-bit": ("a\x85b", "ab"),
    "index, 8-bit": ("a\x84b", "ab"),
    # direction and invisibility
    "right to left override": ("\u202etxt.exe", "txt.exe"),
    "left to right embedding": ("\u202ax\u202c", "x"),
    "isolate": ("\u2066x\u2069", "x"),
    "right to left mark": ("a\u200fb", "ab"),
    "arabic letter mark": ("a\u061cb", "ab"),
    "zero width space": ("Bar\u200bley", "Barley"),
    "zero width joiner": ("a\u200db", "ab"),
    "word joiner": ("a\u2060b", "ab"),
    "byte order mark": ("\ufeffBarley", "Barley"),
    "soft hyphen": ("Bar\u00adley", "Barley"),
    "mongolian vowel separator": ("a\u180eb", "ab"),
    "arabic number sign": ("a\u0600b", "ab"),
    "musical beam": ("a\U0001d173b", "ab"),
    "shorthand format": ("a\U0001bca0b", "ab"),
    "tag letters": ("a\U000e0041\U000e007fb", "ab"),
    "interlinear annotation": ("a\ufff9b\ufffb", "ab"),
    "line separator": ("a\u2028b\u2029c", "abc"),
    "lone surrogate": ("a\ud800b", "ab"),
    "surrogate halves": ("\udcff\udc80x", "x"),
    # what stays
    "markup is only text": ("[@click=app.quit]Hay[/]", "[@click=app.quit]Hay[/]"),
    "a formula is only text": ('=HYPERLINK("x")', '=HYPERLINK("x")'),
    "blanks of every width are one": ("a\u00a0\u2003\u3000 b", "a b"),
    "a control between two blanks": ("a \x00 b", "a b"),
    "two ways to write é are one": ("Ble\u0301", "Blé"),
    "a name in another script": ("Корм 1", "Корм 1"),
    "a sign of the trade": ("39.2 °F ± 0.5 µg", "39.2 °F ± 0.5 µg"),
}  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_text_is_made_harmless(name: str) -> None:
    text, expected = HOSTILE[name]
    assert plain(text) == expected


@given(
    st.text(st.characters(), max_size=300)
    | st.text(st.sampled_from(f"{ESC}{CSI}{OSC}{ST}{BEL}[]\\;0mAé \n\u200b"), max_size=60)
)
@example("a \x00 b")
@example(f"{ESC}{ESC}[31m[31m")
@example("e\u200b\u0301")
def test_what_is_left_has_no_control_and_is_left_alone_the_second_time(text: str) -> None:
    once = plain(text)
    assert not {unicodedata.category(char) for char in once} & {"Cc", "Cf", "Cs", "Zl", "Zp"}
    assert "  " not in once
    assert once == once.strip()
    assert plain(once) == once
    once.encode()  # no lone surrogate is left to fail later


@pytest.mark.parametrize(
    "text",
    ["x" * 1_000_000, f"{ESC}[" * 300_000, f"{ESC}]" * 300_000, "\u202e" * 500_000, "a \x00 " * 200_000],
)
def test_huge_text_is_cut_and_does_not_take_for_ever(text: str) -> None:
    assert len(plain(text)) <= LONGEST


def test_the_cut_leaves_no_blank_at_the_end() -> None:
    assert plain("abc def", longest=4) == "abc"
    assert plain("ab\u200bc def", longest=4) == "abc"
    assert plain("   abc", longest=3) == "abc"

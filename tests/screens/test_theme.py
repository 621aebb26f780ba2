"""Colours can be read: contrast by the published formula, exact entries of the 256-colour table."""

from __future__ import annotations

import pytest
from rich.color import Color, ColorSystem

from herdbook.screens import terminal, theme

AA = 4.5  # WCAG 2.1, success criterion 1.4.3
INKS = ("chalk", "dust", "ice", "clover", "hay", "rust")
GROUNDS = ("ground", "board", "bed")
PAIRS = (
    ("well-ink", "well"),
    ("place-ink", "place-ground"),
    ("warn-ink", "warn-ground"),
    ("alert-ink", "alert-ground"),
)


def luminance(rgb):
    """Relative luminance, WCAG 2.1 definition."""
    linear = [c / 255 / 12.92 if c / 255 <= 0.03928 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in rgb]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    """Contrast ratio, WCAG 2.1 definition."""
    lighter, darker = sorted((luminance(one), luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def sent(colour):
    """The colour a terminal of 256 colours shows, after the rounding on the way."""
    return tuple(Color.parse(colour).downgrade(ColorSystem.EIGHT_BIT).get_truecolor())


def test_the_formula_gives_the_published_extremes():
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21.0)  # WCAG 2.1: ratios range from 1 to 21
    assert contrast((120, 120, 120), (120, 120, 120)) == 1.0


@pytest.mark.parametrize("palette", [theme.NIGHT, theme.DAY], ids=["night", "day"])
@pytest.mark.parametrize("ink", INKS)
@pytest.mark.parametrize("ground", GROUNDS)
def test_every_ink_can_be_read_on_every_ground(palette, ink, ground):
    assert contrast(sent(palette[ink]), sent(palette[ground])) >= AA


@pytest.mark.parametrize("palette", [theme.NIGHT, theme.DAY], ids=["night", "day"])
@pytest.mark.parametrize(("ink", "ground"), PAIRS)
def test_every_pair_can_be_read(palette, ink, ground):
    assert contrast(sent(palette[ink]), sent(palette[ground])) >= AA


# Usual values of the sixteen colours: xterm's own, the text mode of old display cards, a recent console.
SIXTEEN = {
    "xterm": {"black": (0, 0, 0), "cyan": (0, 205, 205), "white": (229, 229, 229), "red": (205, 0, 0),
              "bright_yellow": (255, 255, 0), "bright_white": (255, 255, 255)},
    "text mode": {"black": (0, 0, 0), "cyan": (0, 170, 170), "white": (170, 170, 170), "red": (170, 0, 0),
                  "bright_yellow": (255, 255, 85), "bright_white": (255, 255, 255)},
    "console": {"black": (12, 12, 12), "cyan": (58, 150, 221), "white": (204, 204, 204), "red": (197, 15, 31),
                "bright_yellow": (249, 241, 165), "bright_white": (242, 242, 242)},
}  # fmt: skip


@pytest.mark.parametrize("usual", SIXTEEN)
@pytest.mark.parametrize(("ink", "ground"), PAIRS)
def test_sixteen_colours_come_as_pairs_that_can_be_read(usual, ink, ground):
    colours = SIXTEEN[usual]
    pair = [theme.SIXTEEN[role].removeprefix("ansi_") for role in (ink, ground)]
    assert contrast(colours[pair[0]], colours[pair[1]]) >= AA


@pytest.mark.parametrize("role", INKS + GROUNDS + ("rule",))
def test_sixteen_colours_leave_text_and_grounds_to_the_terminal(role):
    assert theme.SIXTEEN[role] == "ansi_default"


@pytest.mark.parametrize(("environ", "colours"), [
    ({"TERM": "xterm-256color"}, "256"),
    ({"TERM": "tmux-256color"}, "256"),
    ({"TERM": "xterm", "COLORTERM": "24bit"}, "256"),
    ({"TERM": "xterm"}, "16"),
    ({"TERM": "linux"}, "16"),
    ({"TERM": "vt100"}, "none"),
    ({"TERM": "xterm-256color", "NO_COLOR": ""}, "none"),
])  # fmt: skip
def test_a_terminal_gets_what_it_can_show(environ, colours):
    assert terminal.colours(environ) == colours

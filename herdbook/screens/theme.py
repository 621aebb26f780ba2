"""Colours by what they are for: night, day, the terminal's own sixteen, and none at all.

Every colour is an entry of the 256-colour table. The names are variables of the style sheets and of drawings
alike: ``$chalk`` text, ``$dust`` asides, ``$ice`` milk, cursor and place, ``$clover`` good, ``$hay`` look,
``$rust`` late, ``$rule`` lines; grounds ``$ground``, ``$board`` (bars), ``$bed`` (chosen row), ``$well``
(field). Pairs have ``-ink`` and ``-ground``: place, and the badges warn and alert.

Contrast of text is at least 4.5 on every ground it may stand on (WCAG 2.1, 1.4.3), also rounded to the table.
"""

from __future__ import annotations

from typing import Literal

from textual.theme import Theme

Skin = Literal["night", "day", "sixteen", "none"]

NIGHT = {
    "ground": "#121212",
    "board": "#262626",
    "bed": "#303030",
    "well": "#005f5f",
    "well-ink": "#ffffff",
    "rule": "#585858",
    "chalk": "#e4e4e4",
    "dust": "#a8a8a8",
    "ice": "#87d7d7",
    "clover": "#afd787",
    "hay": "#ffd75f",
    "rust": "#ff875f",
    "place-ground": "#87d7d7",
    "place-ink": "#121212",
    "warn-ground": "#ffd75f",
    "warn-ink": "#121212",
    "alert-ground": "#ff875f",
    "alert-ink": "#121212",
}

DAY = {
    "ground": "#ffffff",
    "board": "#f4f4f4",
    "bed": "#ffffd7",
    "well": "#d7ffff",
    "well-ink": "#121212",
    "rule": "#a8a8a8",
    "chalk": "#121212",
    "dust": "#585858",
    "ice": "#005f87",
    "clover": "#005f00",
    "hay": "#875f00",
    "rust": "#af0000",
    "place-ground": "#005f87",
    "place-ink": "#ffffff",
    "warn-ground": "#ffd75f",
    "warn-ink": "#121212",
    "alert-ground": "#af0000",
    "alert-ink": "#ffffff",
}

# Text and grounds are the terminal's own; colour comes only as a pair that is set whole.
SIXTEEN = dict.fromkeys(NIGHT, "ansi_default") | {
    "well": "ansi_cyan",
    "well-ink": "ansi_black",
    "place-ground": "ansi_white",
    "place-ink": "ansi_black",
    "warn-ground": "ansi_bright_yellow",
    "warn-ink": "ansi_black",
    "alert-ground": "ansi_red",
    "alert-ink": "ansi_bright_white",
}

# Without colour a badge has no ground of its own, and what draws it turns the cell over instead.
_BADGES = ("hay", "rust", "warn-ground", "warn-ink", "alert-ground", "alert-ink", "place-ground", "place-ink")
NONE = {role: "ansi_default" for role in NIGHT if role not in _BADGES}

_PALETTES: dict[Skin, dict[str, str]] = {"night": NIGHT, "day": DAY, "sixteen": SIXTEEN, "none": NONE}


def name(skin: Skin) -> str:
    """The theme's name within the framework."""
    return f"herdbook-{skin}"


def theme(skin: Skin) -> Theme:
    """Make the framework's theme for a skin."""
    roles = _PALETTES[skin]
    ansi = skin in ("sixteen", "none")
    if ansi:
        variables = roles | _ANSI_VARIABLES
    else:
        variables = roles | {
            "block-cursor-foreground": roles["chalk"],
            "block-cursor-background": roles["bed"],
            "block-cursor-text-style": "bold",
            "block-cursor-blurred-foreground": roles["chalk"],
            "block-cursor-blurred-background": roles["bed"],
            "input-cursor-background": roles["chalk"],
            "input-cursor-foreground": roles["ground"],
            "input-cursor-text-style": "none",
            "input-selection-background": roles["bed"],
        }
    return Theme(
        name=name(skin),
        primary=roles["ice"],
        secondary=roles["ice"],
        warning=roles.get("hay", roles["chalk"]),
        error=roles.get("rust", roles["chalk"]),
        success=roles["clover"],
        accent=roles["ice"],
        foreground=roles["chalk"],
        background=roles["ground"],
        surface=roles["ground"],
        panel=roles["board"],
        boost=roles["ground"] if ansi else None,
        dark=skin != "day",
        variables=variables,
        ansi=ansi,
    )


# What the framework's own style rules look up when a theme takes the terminal's colours.
_ANSI_VARIABLES = {
    "ansi-background": "ansi_default",
    "ansi-foreground": "ansi_default",
    "border-blurred": "ansi_default",
    "block-cursor-foreground": "ansi_default",
    "block-cursor-background": "ansi_default",
    "block-cursor-text-style": "bold",
    "block-cursor-blurred-foreground": "ansi_default",
    "block-cursor-blurred-background": "ansi_default",
    "input-cursor-background": "ansi_default",
    "input-cursor-foreground": "ansi_default",
    "input-cursor-text-style": "reverse",
    "input-selection-background": "ansi_default",
    "input-selection-foreground": "ansi_default",
    "screen-selection-background": "ansi_default",
    "screen-selection-foreground": "ansi_default",
}

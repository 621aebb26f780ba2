"""Colours by what they are for: night, day, the terminal's own sixteen, and none at all.

Every colour is an entry of the 256-colour table. The names are variables of the style sheets and of content
styles alike: ``$chalk`` text, ``$dust`` asides, ``$ice`` milk, cursor and place, ``$clover`` good, ``$hay``
look, ``$rust`` late, ``$rule`` lines; grounds ``$ground``, ``$board`` (bars), ``$bed`` (chosen row), ``$well``
(field). Pairs are put on with `STYLES`, so that a terminal with few colours gets ones that can be read.
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
    "place": "#87d7d7",
    "place-ink": "#121212",
    "warn": "#ffd75f",
    "warn-ink": "#121212",
    "alert": "#ff875f",
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
    "place": "#005f87",
    "place-ink": "#ffffff",
    "warn": "#ffd75f",
    "warn-ink": "#121212",
    "alert": "#af0000",
    "alert-ink": "#ffffff",
}

# Text and grounds are the terminal's own; colour comes only as a pair that is set whole.
SIXTEEN = dict.fromkeys(NIGHT, "ansi_default") | {
    "well": "ansi_cyan",
    "well-ink": "ansi_black",
    "place": "ansi_white",
    "place-ink": "ansi_black",
    "warn": "ansi_bright_yellow",
    "warn-ink": "ansi_black",
    "alert": "ansi_red",
    "alert-ink": "ansi_bright_white",
}

_PALETTES: dict[Skin, dict[str, str]] = {
    "night": NIGHT,
    "day": DAY,
    "sixteen": SIXTEEN,
    "none": dict.fromkeys(NIGHT, "ansi_default"),
}

_PAIRS = {
    "place": "bold $place-ink on $place",
    "warn": "bold $warn-ink on $warn",
    "alert": "bold $alert-ink on $alert",
    "well": "$well-ink on $well",
    "chosen": "bold $chalk on $bed",
    "cursor": "$ground on $chalk",
}
_PAIRS_SIXTEEN = _PAIRS | {"chosen": "bold", "cursor": "reverse"}
_PAIRS_NONE = {
    "place": "bold reverse",
    "warn": "bold reverse",
    "alert": "bold reverse",
    "well": "underline",
    "chosen": "bold",
    "cursor": "reverse",
}

STYLES: dict[str, str] = dict(_PAIRS)
"""Content styles of the pairs in use, by name: place, warn, alert, well, chosen, cursor."""


def name(skin: Skin) -> str:
    """The theme's name within the framework."""
    return f"herdbook-{skin}"


def use(skin: Skin) -> None:
    """Choose the pairs for this terminal, before the first drawing."""
    STYLES.update({"sixteen": _PAIRS_SIXTEEN, "none": _PAIRS_NONE}.get(skin, _PAIRS))


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
        warning=roles["hay"],
        error=roles["rust"],
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

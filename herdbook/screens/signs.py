"""The signs of the screens, and the plain set for consoles whose font lacks them."""

from __future__ import annotations

from types import SimpleNamespace

_FULL = {
    "chosen": "▸",
    "done": "✓",
    "look": "!",
    "late": "!!",
    "unknown": "?",
    "below": "<",
    "above": ">",
    "corrects": "c",
    "struck": "×",
    "none": "–",
    "falling": "↓",
    "steady": "→",
    "rising": "↑",
    "arrow": "→",
    "updown": "↑↓",
    "leftright": "←→",
    "rule": "─",
    "bar": "━",
    "seat": "┝",
    "end": "┥",
    "aim": "┿",
    "limit": "┃",
    "dot": "●",
    "ring": "○",
    "expected": "◆",
    "more": "…",
    "degree": "°",
    "minus": "−",
    "curve": "▔─▁",
    "spark": "▁▂▃▄▅▆▇█",
}

_PLAIN = _FULL | {
    "chosen": ">",
    "done": "x",
    "struck": "x",
    "none": "-",
    "falling": "v",
    "steady": ">",
    "rising": "^",
    "arrow": ">",
    "updown": "Up/Dn",
    "leftright": "Lt/Rt",
    "rule": "-",
    "bar": "=",
    "seat": "[",
    "end": "]",
    "aim": "+",
    "limit": "|",
    "dot": "o",
    "ring": ".",
    "expected": "*",
    "more": "..",
    "degree": "",
    "minus": "-",
    "curve": "'-_",
    "spark": "_.-=+*#@",
}

FULL = SimpleNamespace(**_FULL)
PLAIN = SimpleNamespace(**_PLAIN)
SIGNS = SimpleNamespace(**_FULL)
"""The set in use: a program has one terminal. `use` changes it before the first drawing."""


def use(plain: bool) -> None:
    """Choose the set for this terminal."""
    SIGNS.__dict__.update(_PLAIN if plain else _FULL)


_ASCII = {
    ord(_FULL[name]): _PLAIN[name]
    for name in _FULL
    if len(_FULL[name]) == 1 and _FULL[name] != _PLAIN[name] and name != "degree"
} | {ord("°"): "", ord("·"): "."}


def ascii_of(text: str) -> str:
    """Give a line of ours in the plain set; signs it does not know become a question mark."""
    return text.translate(_ASCII).encode("ascii", "replace").decode("ascii")

"""The manual's pages: Markdown files with gaps filled from the program itself, so that neither goes stale."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields
from importlib.resources import files
from itertools import groupby

from herdbook.errors import Refused
from herdbook.plain import plain

TOPICS = (
    "start",
    "feeding",
    "plan",
    "paper",
    "bunk",
    "walk",
    "accuracy",
    "milk",
    "alarms",
    "watching",
    "ration",
    "imports",
    "suggestion",
    "store",
    "week",
    "money",
    "commands",
    "json",
    "units",
    "cooling",
    "rules",
    "keys",
    "settings",
    "trust",
    "copies",
    "door",
    "cautions",
)
"""In the order one would read them."""

_GAP = re.compile(r"\{\{(\w+)\}\}")
Fill = Callable[[], str]


def page_as_written(topic: str) -> str:
    """A page with its gaps.

    Raises:
        Refused: there is no such topic; the sentence names the nearest.
    """
    if topic not in TOPICS:
        from difflib import get_close_matches

        near = get_close_matches(topic, TOPICS, 1, 0.5)
        hint = f"Did you mean {near[0]}?" if near else f"Topics: {', '.join(TOPICS)}."
        raise Refused(f"The manual has no topic {plain(topic, longest=40)!r}.", remedy=hint, field="topic")
    return files("herdbook").joinpath("manual", f"{topic}.md").read_text(encoding="utf-8")


def heading_of(topic: str) -> str:
    """The page's first line."""
    return page_as_written(topic).partition("\n")[0].lstrip("# ")


def page(topic: str, others: Mapping[str, Fill] | None = None) -> str:
    """A page as people read it.

    Args:
        topic: one of `TOPICS`.
        others: what fills gaps that are not this layer's to know: `commands` and `keys`.

    Raises:
        Refused: there is no such topic.
    """
    fills = {**_FILLS, **(others or {})}

    def filled(gap: re.Match[str]) -> str:
        fill = fills.get(gap[1])
        return fill().strip("\n") if fill is not None else ""

    return _GAP.sub(filled, page_as_written(topic))


def _table(heads: tuple[str, ...], rows: Iterator[tuple[str, ...]]) -> str:
    lines = [f"| {' | '.join(heads)} |", "|" + "---|" * len(heads)]
    lines += [f"| {' | '.join(cell.replace('|', '/') for cell in row)} |" for row in rows]
    return "\n".join(lines)


def _chores() -> str:
    from herdbook.chores.doing import ROLES, chores
    from herdbook.reports.fields_in_words import help_line, how_typed

    def parts() -> Iterator[str]:
        for name, chore in chores().items():
            may = ", ".join(role for role in ROLES if role in chore.roles)
            started = " Done by `herdbook new`." if name == "start" else ""
            yield f"### {name}: {chore.title}\n\nMay write it: {may}.{started}\n"
            yield _table(
                ("field", "typed", "what it is"),
                (
                    (
                        f"`--{field.replace('_', '-')}`",
                        how_typed(ask),
                        help_line(ask, required=chore.draft.required(field)),
                    )
                    for field, ask in chore.draft.asks().items()
                ),
            )
            yield ""

    return "\n".join(parts())


def _reports() -> str:
    from herdbook.reports.catalogue import SPECS

    def option(name: str, position: str, needed: bool) -> str:
        word = name.upper() if name == position else f"--{name}"
        return word if needed else f"[{word}]"

    return _table(
        ("report", "options", "what it tells"),
        (
            (
                f"`{spec.name}`",
                " ".join(option(name, spec.position, name in spec.needed) for name in spec.options),
                spec.title,
            )
            for spec in SPECS.values()
        ),
    )


def _rules() -> str:
    from herdbook.science.registry import rules
    from herdbook.science.sources import SOURCES

    def parts() -> Iterator[str]:
        for subject, its in groupby(rules().values(), key=lambda one: one.subject):
            yield f"## {subject}\n"
            for one in its:
                cited = "; ".join(SOURCES[source].citation() for source in one.sources)
                memory = " *From memory.*" if one.from_memory else ""
                yield f"- `{one.key}`: {one.title}. {cited}.{memory}"
            yield ""

    return "\n".join(parts())


def _cooling_rules() -> str:
    from herdbook.science.cooling_rules import cooling_rules

    def parts() -> Iterator[str]:
        for rule in cooling_rules().values():
            yield f"## {rule.key}\n"
            yield f"{rule.title}. {rule.place}. {rule.kind.capitalize()}."
            if not rule.read:
                yield "\n**From memory: the text was not read.**"
            yield ""
            yield from (f"- {clause.says}" for clause in rule.clauses)
            yield f"\nSource: {rule.source}. Read {rule.date_read.isoformat()}."
            if rule.note:
                yield f"\n{rule.note}"
            yield ""

    return "\n".join(parts())


def _default_rule() -> str:
    from herdbook.science.cooling_rules import default_cooling_rule

    return default_cooling_rule().key


def _figures() -> str:
    from herdbook.science.figures import ration_figures

    return _table(
        ("key", "label", "unit"),
        ((f"`{one.key}`", one.label, one.unit or "–") for one in ration_figures().with_amounts().values()),
    )


def _units() -> str:
    from herdbook.units import UNITS

    rows = groupby(UNITS, key=lambda unit: unit.dimension)
    return _table(
        ("measures", "units"), ((what, ", ".join(unit.symbol for unit in its)) for what, its in rows)
    )


_SETTINGS = {
    "book": "path of the book; empty for your own data folder",
    "look": "night, day, or terminal for the terminal's own sixteen colours",
    "signs": "full, or plain for fonts without line and arrow signs",
    "bell": "ring the bell once when the tank becomes too slow or late",
    "copies": "folder of the checked copies; empty for a folder called copies beside the book",
    "copies_hours": "how old the newest copy may be before it is an alert, in hours; 0 for never an alert",
}


def _settings() -> str:
    from herdbook.settings import Settings

    def toml(value: object) -> str:
        return str(value).lower() if isinstance(value, bool) else f'"{value}"'

    return _table(
        ("setting", "if not given", "what it does"),
        ((f"`{one.name}`", toml(one.default), _SETTINGS.get(one.name, "")) for one in fields(Settings)),
    )


def _vet_signs() -> str:
    from herdbook.chores.vet_signs import CALL_NOW

    return "\n".join(f"- {sign}" for sign in CALL_NOW)


def _bunk_scales() -> str:
    from herdbook.science.bunk_scores import bunk_scores

    rows = ((step.scale, step.score, step.meaning, step.action or "–") for step in bunk_scores())
    return _table(("scale", "score", "means", "the rule says"), rows)


def _call_sources() -> str:
    from herdbook.science import call_rules
    from herdbook.science.sources import SOURCES

    used = dict.fromkeys(key for its in call_rules.SOURCES.values() for key in its)
    return "\n".join(f"- {SOURCES[key].citation()}" for key in used)


def _checks() -> str:
    from herdbook.book.rules.looking import every_rule

    return "\n".join(f"- {(rule.__doc__ or '').partition(chr(10))[0]}" for rule in every_rule())


_FILLS: Mapping[str, Fill] = {
    "chores": _chores,
    "reports": _reports,
    "rules": _rules,
    "cooling_rules": _cooling_rules,
    "default_rule": _default_rule,
    "figures": _figures,
    "units": _units,
    "settings": _settings,
    "checks": _checks,
    "vet_signs": _vet_signs,
    "bunk_scales": _bunk_scales,
    "call_sources": _call_sources,
}

"""`herdbook reckon`: the list of published rules, one rule in full, or one worked out with typed quantities."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import Any

import click

from herdbook.cli.call import say_json
from herdbook.cli.printing import print_lines
from herdbook.errors import Refused
from herdbook.science.registry import Check, Rule, numbers, rule, rules, shown_unit
from herdbook.science.sources import SOURCES

FROM_MEMORY = "from memory: the formula was recalled, its source was not read"


@click.command()
@click.argument("name", required=False, metavar="[RULE]", default="")
@click.argument("words", nargs=-1, metavar="[NAME=QUANTITY]...")
@click.option("--in", "wanted", default="", metavar="UNIT", help="unit of the answer")
@click.option("--decimal", type=click.Choice((".", ",")), default=".", help="decimal mark of what you type")
@click.option("--as", "form", type=click.Choice(("text", "json")), default="text", help="text or JSON")
def reckon(name: str, words: tuple[str, ...], wanted: str, decimal: str, form: str) -> None:
    """Work out a published rule with your own numbers, in any sensible unit.

    Without a rule, lists them by subject. With a rule alone, shows its formula, arguments, ranges, source and a
    worked example. `herdbook reckon fcm-4 milk="70 lb" fat=3.8%` works it out.
    """
    if not name:
        _list(form)
        return
    one = rule(name)
    if not words:
        if wanted:
            raise Refused("--in: there is nothing to work out.", remedy="Give NAME=QUANTITY.", field="in")
        say_json(_described(one)) if form == "json" else print_lines(_page(one))
        return
    from herdbook.reports.reckoning import reckon as work_out
    from herdbook.reports.reckoning import split_words

    made = work_out(one, split_words(words), wanted=wanted, decimal=decimal)
    if form == "json":
        say_json(made.as_json())
        return
    print_lines(_answer(made))


def _answer(made: Any) -> Iterator[str]:
    for name, (value, unit) in made.results.items():
        label = "" if name == "value" else f"{name}: "
        yield f"{label}{_number(value)} {shown_unit(unit) if unit != 'text' else ''}".rstrip()
    yield ""
    yield f"{made.rule.title}{f' ({made.rule.edition})' if made.rule.edition else ''}"
    yield made.rule.formula
    for name, given in made.inputs.items():
        yield (
            f"  {name} = {_number(given.value)} {shown_unit(given.unit)}".rstrip()
            + f"  (typed {given.typed})"
        )
    yield f"Source: {made.source}"
    if made.rule.from_memory:
        yield f"! {FROM_MEMORY}"
    for warning in made.warnings:
        yield f"! {warning}"
    if made.rule.notes:
        yield f"Note: {made.rule.notes}"


def _number(value: Any) -> str:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return "–" if value is None else str(value)
    if (value and abs(value) < 1e-4) or abs(value) >= 1e15:
        return f"{value:.6g}"
    decimals = max(0, 5 - len(str(int(abs(value)))) + (int(abs(value)) == 0))
    text = f"{value:,.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _list(form: str) -> None:
    known = list(rules().values())
    if form == "json":
        say_json([_described(one) for one in known])
        return
    print_lines(_lines_by_subject(known))


def _lines_by_subject(known: list[Rule]) -> Iterator[str]:
    for subject, its in groupby(known, key=lambda one: one.subject):
        yield ""
        yield subject
        for one in its:
            yield f"  {one.key}: {one.title}{' (from memory)' if one.from_memory else ''}"
    yield ""
    yield "herdbook reckon RULE shows one in full."


def _page(one: Rule) -> Iterator[str]:
    yield one.title
    yield f"  {one.subject}{f', {one.edition}' if one.edition else ''}"
    yield ""
    yield one.formula
    yield ""
    for name, argument in one.arguments.items():
        optional = ", may be left out" if name in one.optional else ""
        beyond = " (refused outside)" if argument.outside == "refuse" and argument.low is not None else ""
        yield f"  {name}: {argument.meaning}, {argument.range_in_words()}{beyond}{optional}"
    yield f"  gives {_gives(one)}"
    yield ""
    for source in one.sources:
        yield f"Source: {SOURCES[source].citation()}"
    if one.from_memory:
        yield f"! {FROM_MEMORY}"
    if one.notes:
        yield f"Note: {one.notes}"
    yield ""
    yield from _example(one)


def _gives(one: Rule) -> str:
    if isinstance(one.unit, str):
        return shown_unit(one.unit) or "a plain number"
    return ", ".join(f"{name} ({shown_unit(unit) or 'plain number'})" for name, unit in one.unit.items())


def example_words(one: Rule, check: Check) -> list[str]:
    """A worked check as one would type it."""
    words = []
    for name, value in check.inputs.items():
        unit = one.arguments[name].unit.removeprefix("1")
        number = value if isinstance(value, str) else repr(round(value, 6)).removesuffix(".0")
        text = f"{name}={number}{unit if not unit or unit[0] in '%/' else f' {unit}'}"
        words.append(f'"{text}"' if " " in text else text)
    return words


def _example(one: Rule) -> Iterator[str]:
    check = one.checks[0]
    yield f"Worked example ({check.where}):"
    yield f"  herdbook reckon {one.key} {' '.join(example_words(one, check))}"
    got = numbers(one.compute(**check.inputs).value)
    expected = check.expected if not isinstance(check.expected, int | float) else {"value": check.expected}
    for name, value in expected.items():
        label = "" if name == "value" else f"{name} "
        unit = one.unit if isinstance(one.unit, str) else one.unit.get(name, "")
        yield f"  {label}{_number(got[name])} {shown_unit(unit)}".rstrip() + f"; the source has {value:g}"


def _described(one: Rule) -> dict[str, Any]:
    return {
        "rule": one.key,
        "title": one.title,
        "subject": one.subject,
        "edition": one.edition,
        "formula": one.formula,
        "unit": one.unit if isinstance(one.unit, str) else dict(one.unit),
        "arguments": {
            name: {
                "meaning": argument.meaning,
                "unit": argument.unit,
                "low": argument.low,
                "high": argument.high,
                "choices": list(argument.choices),
                "optional": name in one.optional,
            }
            for name, argument in one.arguments.items()
        },
        "source": "; ".join(SOURCES[source].citation() for source in one.sources),
        "from_memory": one.from_memory,
        "notes": one.notes,
    }

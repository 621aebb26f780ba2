"""A published rule worked out with typed quantities in any sensible unit, and its answer in the unit asked for."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from typing import TYPE_CHECKING, Any

from herdbook.errors import Refused
from herdbook.plain import plain
from herdbook.science.registry import Argument, Rule, numbers, shown_unit
from herdbook.science.sources import SOURCES
from herdbook.units import parse_number, registry

if TYPE_CHECKING:
    import pint

_NUMBER_THEN_UNIT = re.compile(r"(?P<number>[-+−]?[0-9.,/ \u00a0-]*[0-9][.,]?)\s*(?P<unit>[^\s0-9].*)?")
_UNIT_LETTERS = re.compile(r"[A-Za-zµ°$%³² _*/·^23()\"'#-]{1,40}")
_POWERS = re.compile(r"(?:[^*]|\*(?!\*)|\*\*[23](?![0-9*]))*")
"""Squares and cubes, and no tower of powers that would keep the registry busy."""

_SIZES = {"million": 1_000_000, "thousand": 1_000}
_SPELLED = {
    "°c": "degC",
    "°f": "degF",
    "c": "degC",
    "f": "degF",
    "lbs": "lb",
    "#": "lb",
    "$": "dollar",
    "usd": "dollar",
    "d": "day",
    "days": "day",
    "hr": "h",
    "hrs": "h",
    "hours": "h",
    "weeks": "week",
    "ml": "mL",
    "l": "L",
    "mcal": "Mcal",
    "mj": "MJ",
    "kj": "kJ",
    "btu": "Btu",
    "kw": "kW",
    "kwh": "kWh",
    "meq": "mEq",
    "iu": "IU",
    "pct": "percent",
    "%": "percent",
}
_NEEDS_UNIT = ("[mass]", "[length]", "[temperature]")
"""A bare number of these is refused: pounds and kilograms, °F and °C are both in use on farms."""

Part = tuple[float, str]


@dataclass(frozen=True, slots=True)
class Understood:
    """One input: what was typed, and the value it was taken for in the argument's unit."""

    typed: str
    value: float | str
    unit: str


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A rule worked out.

    Args:
        rule: the rule.
        results: name -> number or word, and its unit; one number is called "value".
        inputs: every input as it was understood.
        warnings: values outside the range the rule holds for, and the like.
    """

    rule: Rule
    results: Mapping[str, tuple[Any, str]]
    inputs: Mapping[str, Understood]
    warnings: tuple[str, ...]

    @property
    def source(self) -> str:
        """Where the rule is published."""
        return "; ".join(SOURCES[key].citation() for key in self.rule.sources)

    def as_json(self) -> dict[str, Any]:
        """For other programs; a rule with several results gives an object under `value` and `unit`."""
        single = set(self.results) == {"value"}
        values = {name: value for name, (value, _) in self.results.items()}
        units = {name: unit for name, (_, unit) in self.results.items()}
        return {
            "rule": self.rule.key,
            "value": values["value"] if single else values,
            "unit": units["value"] if single else units,
            "inputs": {
                name: {"typed": given.typed, "value": given.value, "unit": given.unit}
                for name, given in self.inputs.items()
            },
            "source": self.source,
            "from_memory": self.rule.from_memory,
            "warnings": list(self.warnings),
        }


def reckon(rule: Rule, typed: Mapping[str, str], *, wanted: str = "", decimal: str = ".") -> Reckoned:
    """Work out a rule.

    Args:
        rule: the rule.
        typed: argument -> typed quantity, such as "70 lb", "3.8%" or "39.2F".
        wanted: unit of the answer; the rule's own if empty.
        decimal: the decimal mark of what is typed.

    Raises:
        Refused: one message with everything that is wrong: names, units, numbers, ranges.
    """
    wrong = rule.problems_with_names(typed)
    understood: dict[str, Understood] = {}
    for name, text in typed.items():
        if argument := rule.arguments.get(name):
            try:
                understood[name] = understand_argument(name, text, argument, decimal=decimal)
            except Refused as error:
                wrong.append(str(error).rstrip("."))
    if wrong:
        raise Refused(
            f"{rule.key}: {'; '.join(wrong)}.",
            remedy=f"See `herdbook reckon {rule.key}`.",
            field=next((name for name in typed if any(words.startswith(f"{name} ") for words in wrong)), ""),
        )
    computed = rule.compute(**{name: given.value for name, given in understood.items()})
    results = {
        name: (value, computed.unit if isinstance(computed.unit, str) else computed.unit.get(name, ""))
        for name, value in numbers(computed.value).items()
    }
    if wanted:
        results = _in_unit(rule, results, wanted)
    return Reckoned(rule, results, understood, computed.warnings)


def understand_argument(name: str, text: str, argument: Argument, *, decimal: str = ".") -> Understood:
    """A typed quantity as a number of the argument's unit.

    Raises:
        Refused: not a number, no unit where one is needed, or a unit that measures something else.
    """
    shown = plain(text, longest=60)
    if argument.choices:
        return Understood(shown, _choice(name, shown, argument), "")
    match = _NUMBER_THEN_UNIT.fullmatch(re.sub(r"\s1/(?=[A-Za-zµ])", "/", shown))  # 200000 1/mL
    try:
        if match is None:
            raise ValueError(shown)
        number = parse_number(match["number"], decimal=decimal)
    except ValueError:
        raise Refused(f"{name} is {shown!r}, which is not a number", field=name) from None
    spelled = (match["unit"] or "").strip()
    for word, size in _SIZES.items():
        if spelled.lower().startswith(word):
            number, spelled = number * size, spelled[len(word) :].strip()
            spelled = f"1{spelled}" if spelled.startswith("/") else spelled
    if spelled.startswith("/"):
        spelled = f"1{spelled}"
    if not spelled:
        _see_bare_number_is_clear(name, argument)
        return Understood(shown, float(number), argument.unit)
    return Understood(shown, _converted(name, float(number), spelled, argument), argument.unit)


def _choice(name: str, shown: str, argument: Argument) -> str:
    fitting = [word for word in argument.choices if word.lower() == shown.lower()] or [
        word for word in argument.choices if shown and word.lower().startswith(shown.lower())
    ]
    if len(fitting) == 1:
        return fitting[0]
    raise Refused(f"{name} is {shown!r}, which is not {argument.range_in_words()}", field=name)


def _see_bare_number_is_clear(name: str, argument: Argument) -> None:
    if argument.unit and any(
        dimension in str(_unit(argument.unit).dimensionality) for dimension in _NEEDS_UNIT
    ):
        raise Refused(f"{name} has no unit (such as {_such_as(argument.unit)})", field=name)


def _such_as(unit: str) -> str:
    """Units a person might type for a canonical one."""
    known = {
        "kg": "kg or lb",
        "g": "g or oz",
        "kg/day": "kg/day or lb/day",
        "degC": "°C or °F",
        "delta_degC": "°C or °F",
        "kg/h": "kg/h or lb/h",
        "L/min": "L/min or gal/min",
        "1/mL": "/mL",
    }
    return known.get(unit, shown_unit(unit))


@cache
def _unit(spelled: str) -> pint.Unit:
    """A unit by the one registry."""
    return registry().Unit((spelled or "dimensionless").replace("%", "percent"))


def _parsed_unit(spelled: str) -> pint.Unit | None:
    """A typed unit, or none; only letters and the signs of units ever reach the registry."""
    text = spelled.strip().rstrip(".")
    body = text.removeprefix("1")
    if not _UNIT_LETTERS.fullmatch(body):
        return None
    body = body.replace("·", "*").replace("²", "**2").replace("³", "**3").replace("^", "**")
    if not _POWERS.fullmatch(body):
        return None
    words = re.split(r"([*/() ]+)", body)
    said = "".join(_SPELLED.get(word.lower(), word) for word in words)
    try:
        return registry().Unit(f"1{said}" if text.startswith("1") else said)
    except Exception:  # pint has tokenizer, attribute, type and its own errors for what is no unit
        return None


def _converted(name: str, number: float, spelled: str, argument: Argument) -> float:
    found = _parsed_unit(spelled)
    target = _unit(argument.unit)
    if found is None:
        near = get_close_matches(spelled, [*_SPELLED.values(), "kg", "g", "mg", "oz", "cwt", "ton"], 1, 0.5)
        hint = f", did you mean {near[0]}?" if near else ""
        raise Refused(f"{name} is {number:g} {spelled!r}, which is not a unit known here{hint}", field=name)
    value = _to(number, found, argument.unit, target)
    if value is None:
        meant = shown_unit(argument.unit) or "a plain number"
        raise Refused(
            f"{name} is given in {spelled}, which cannot be turned into {meant} ({argument.meaning})",
            field=name,
        )
    return value


def _to(number: float, found: pint.Unit, target_text: str, target: pint.Unit) -> float | None:
    """The number in the target unit; an amount without its "a day" or "an hour" takes the target's."""
    if target_text == "delta_degC":
        differences = {"degree_Celsius": 1.0, "delta_degree_Celsius": 1.0}
        differences |= {"degree_Fahrenheit": 5 / 9, "delta_degree_Fahrenheit": 5 / 9, "kelvin": 1.0}
        return number * differences[str(found)] if str(found) in differences else None
    made = registry().Quantity(number, found)
    if found.dimensionality == target.dimensionality:
        return float(made.to(target).magnitude)
    per = target_text.rpartition("/")[2] if "/" in target_text else ""
    if per in ("day", "h", "min"):
        made = made / registry().Quantity(1, _unit(per))
        if made.dimensionality == target.dimensionality:
            return float(made.to(target).magnitude)
    return None


def _in_unit(rule: Rule, results: Mapping[str, tuple[Any, str]], wanted: str) -> dict[str, tuple[Any, str]]:
    """Results in another unit, those it fits; it has to fit one at least."""
    found = _parsed_unit(wanted)
    if found is None:
        raise Refused(f"--in: {plain(wanted)!r} is not a unit known here.", field="in")
    made, fitted = {}, False
    for name, (value, unit) in results.items():
        turned = None
        if isinstance(value, int | float) and not isinstance(value, bool) and unit != "text":
            turned = _result_in(float(value), unit, found)
        fitted = fitted or turned is not None
        made[name] = (
            (value, unit) if turned is None else (turned, _SPELLED.get(wanted.strip().lower(), plain(wanted)))
        )
    if not fitted:
        units = ", ".join(dict.fromkeys(shown_unit(unit) or "a plain number" for _, unit in results.values()))
        raise Refused(
            f"--in: {rule.key} gives {units}, which cannot be turned into {plain(wanted)}.",
            remedy="Leave --in out, or give a unit of the same sort.",
            field="in",
        )
    return made


def _result_in(value: float, unit: str, found: pint.Unit) -> float | None:
    if unit == "delta_degC":
        sizes = {
            "degree_Celsius": 1.0,
            "degree_Fahrenheit": 1.8,
            "kelvin": 1.0,
            "delta_degree_Fahrenheit": 1.8,
        }
        return value * sizes[str(found)] if str(found) in sizes else None
    made = registry().Quantity(value, _unit(unit))
    return float(made.to(found).magnitude) if made.dimensionality == found.dimensionality else None


def split_words(words: Sequence[str]) -> dict[str, str]:
    """`name=quantity` words as a mapping.

    Raises:
        Refused: a word without "=", or a name given twice.
    """
    made: dict[str, str] = {}
    wrong = []
    for word in words:
        name, mark, text = word.partition("=")
        name = name.strip().replace("-", "_")
        if not mark:
            wrong.append(f"{plain(word)!r} is not name=quantity")
        elif name in made:
            wrong.append(f"{plain(name)} is given twice")
        else:
            made[name] = text
    if wrong:
        raise Refused(
            f"{'; '.join(wrong)}.", remedy='Type for example milk="70 lb" fat=3.8%.', field="inputs"
        )
    return made

"""Where every published rule is registered once: arguments, units, range, source and a worked check."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, fields, is_dataclass
from types import MappingProxyType
from typing import Any, Literal, NamedTuple, TypeVar

from herdbook.errors import Refused
from herdbook.science.sources import SOURCES

F = TypeVar("F", bound=Callable[..., Any])
Value = float | str
KEY = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


@dataclass(slots=True, frozen=True)
class Argument:
    """One input of a rule.

    Attributes:
        meaning: what it is, in words for the person who types it.
        unit: unit in a form pint can parse; empty for a plain number.
        low, high: range the rule is meant for. Outside it the answer carries a warning, or is refused.
        outside: what happens outside low and high.
        floor, ceiling: values beyond these make no sense at all and are always refused.
        from_source: the range is the one the source states for its data; otherwise it is what is plausible.
        choices: the words allowed, for an argument that is a choice and not a number.
    """

    meaning: str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    outside: Literal["warn", "refuse"] = "warn"
    floor: float | None = None
    ceiling: float | None = None
    from_source: bool = False
    choices: tuple[str, ...] = ()

    def range_in_words(self) -> str:
        """The range as a person reads it: "12-31 kg/day", "at least 0 %", or the words to choose from."""
        if self.choices:
            return " or ".join(self.choices)
        low = self.low if self.low is not None else self.floor
        high = self.high if self.high is not None else self.ceiling
        unit = f" {shown_unit(self.unit)}" if self.unit else ""
        if low is not None and high is not None:
            return f"{low:g} to {high:g}{unit}"
        if low is not None:
            return f"at least {low:g}{unit}"
        return f"at most {high:g}{unit}" if high is not None else f"any{unit}"


@dataclass(slots=True, frozen=True)
class Check:
    """One worked check of a rule: inputs, and what the source (or arithmetic, when derived) says comes out.

    Attributes:
        inputs: every input, in the units of the arguments.
        expected: the result; for a rule with several results, the ones that are known, by name.
        tolerance: how far the result may be away, in the result's unit; usually half the last printed digit.
        where: where it is printed ("table 3, row 1"), or "derived".
    """

    inputs: Mapping[str, Value]
    expected: float | Mapping[str, float]
    tolerance: float
    where: str


class Computed(NamedTuple):
    """What `Rule.compute` returns: the value, its unit, the inputs as used, and what to be careful about."""

    value: Any
    unit: str | Mapping[str, str]
    inputs: Mapping[str, Value]
    warnings: tuple[str, ...]


@dataclass(slots=True, frozen=True)
class Rule:
    """A published rule: the function, and everything a reader must know to trust or doubt its answer."""

    key: str
    title: str
    subject: str
    formula: str
    unit: str | Mapping[str, str]
    sources: tuple[str, ...]
    read: bool
    edition: str
    arguments: Mapping[str, Argument]
    checks: tuple[Check, ...]
    notes: str
    function: Callable[..., Any] = field(repr=False)

    @property
    def from_memory(self) -> bool:
        """True when the formula was recalled and not read in its source; shown wherever the rule is shown."""
        return not self.read

    @property
    def check(self) -> Check:
        """The worked check to show: the first one."""
        return self.checks[0]

    @property
    def optional(self) -> frozenset[str]:
        """Names of the arguments that may be left out."""
        return frozenset(getattr(self.function, "__kwdefaults__", None) or ())

    def problems_with_names(self, given: Iterable[str]) -> list[str]:
        """What is wrong with a set of names: unknown ones with the nearest right one, and missing ones."""
        from difflib import get_close_matches  # needed for mistakes only

        names = set(given)
        found = []
        for name in sorted(names - self.arguments.keys()):
            near = get_close_matches(name, self.arguments, n=1, cutoff=0.4)
            found.append(f"{name} is not an argument" + (f", did you mean {near[0]}?" if near else ""))
        missing = [name for name in self.arguments if name not in names and name not in self.optional]
        found += [f"{name} is missing ({self.arguments[name].meaning})" for name in missing]
        return found

    def compute(self, **values: Value | None) -> Computed:
        """Check names and ranges, compute, and return the value with its warnings.

        Args:
            **values: the inputs as plain numbers in the units of the arguments; None means not given.

        Raises:
            Refused: names everything that is wrong, when a name or a value cannot be used.
        """
        given = {name: value for name, value in values.items() if value is not None}
        wrong = self.problems_with_names(given)
        warnings: list[str] = []
        for name, value in given.items():
            if argument := self.arguments.get(name):
                refusal, warning = _judge(name, value, argument)
                wrong += [refusal] if refusal else []
                warnings += [warning] if warning else []
        if wrong:
            raise Refused(
                f"{self.key}: {'; '.join(wrong)}.", remedy=self._how_to_give(), field=_first(given, wrong)
            )
        try:
            value = self.function(**given)
        except (ArithmeticError, ValueError) as error:
            raise Refused(
                f"{self.key} has no answer for these inputs ({error}).", remedy=self._how_to_give()
            ) from error
        return Computed(value, self.unit, MappingProxyType(given), tuple(warnings))

    def _how_to_give(self) -> str:
        return "It takes " + ", ".join(
            f"{name} ({argument.range_in_words()}{', optional' if name in self.optional else ''})"
            for name, argument in self.arguments.items()
        )


_RULES: dict[str, Rule] = {}


def published(
    key: str,
    *,
    title: str,
    subject: str,
    formula: str,
    unit: str | Mapping[str, str],
    source: str | tuple[str, ...],
    arguments: Mapping[str, Argument],
    check: Check | tuple[Check, ...],
    read: bool = True,
    edition: str = "",
    notes: str = "",
) -> Callable[[F], F]:
    """Register a pure function as a published rule and return it unchanged, so that calling it costs nothing.

    Args:
        key: what people type to ask for it: lower-case words joined by hyphens.
        title: one line for a list of rules.
        subject: heading it is listed under.
        formula: the formula as one reads it on the page, in the names of the arguments.
        unit: unit of the result; a mapping from field to unit for a record ("text" for words).
        source: key or keys in `sources.SOURCES`.
        arguments: every keyword of the function, by name.
        check: one or more worked checks.
        read: False when the formula is recalled and was not read in the source.
        edition: "NRC 2001", "NASEM 2021" or empty; figures of two editions are never compared.
        notes: what to keep in mind when reading the result.

    Raises:
        ValueError: the registration does not fit the function, the key is taken, or a source is unknown.
    """
    sources = (source,) if isinstance(source, str) else source
    checks = (check,) if isinstance(check, Check) else check

    def register(function: F) -> F:
        _refuse_misfit(key, function, arguments, sources)
        rule = Rule(
            key, title, subject, formula, unit, sources, read, edition,
            MappingProxyType(dict(arguments)), checks, notes, function,
        )  # fmt: skip
        _RULES[key] = rule
        function.__doc__ = _full_docstring(rule)
        return function

    return register


def rules() -> Mapping[str, Rule]:
    """Every rule of the package by key, in order of subject and key; imports the modules not used yet."""
    from importlib import import_module
    from pkgutil import iter_modules

    package = import_module("herdbook.science")
    for module in iter_modules(package.__path__):
        import_module(f"herdbook.science.{module.name}")
    return dict(sorted(_RULES.items(), key=lambda item: (item[1].subject, item[0])))


def rule(key: str) -> Rule:
    """The rule registered under a key.

    Raises:
        Refused: there is no such rule; the message names the nearest ones.
    """
    known = _RULES if key in _RULES else rules()
    if key not in known:
        from difflib import get_close_matches

        near = get_close_matches(key, known, n=3, cutoff=0.4)
        hint = f"Nearest: {', '.join(near)}." if near else "Ask for the list of rules without a name."
        raise Refused(f"There is no rule called {key}.", remedy=hint, field="rule")
    return known[key]


def numbers(value: Any) -> dict[str, Any]:
    """A result as name and number, whether it is one number (named "value") or a record of them."""
    if isinstance(value, tuple) and hasattr(value, "_asdict"):
        return dict(value._asdict())
    if is_dataclass(value):
        return {item.name: getattr(value, item.name) for item in fields(value)}
    return {"value": value}


def shown_unit(unit: str) -> str:
    """A unit as people write it; `mEq/hg`, which a unit registry can parse, is printed mEq/100 g."""
    return {"mEq/hg": "mEq/100 g", "degC": "°C", "degF": "°F", "delta_degC": "°C", "ft**3": "ft³"}.get(
        unit, unit.replace("**3", "³").replace("**2", "²").replace("*", "·")
    )


def _judge(name: str, value: Value, argument: Argument) -> tuple[str, str]:
    """A refusal and a warning for one value, empty when there is nothing to say."""
    if argument.choices:
        fits = value in argument.choices
        return ("" if fits else f"{name} is {value!r}, which is not {argument.range_in_words()}"), ""
    if isinstance(value, str) or not math.isfinite(value):
        return f"{name} is {value!r}, which is not a number", ""
    unit = f" {shown_unit(argument.unit)}" if argument.unit else ""
    under, over = _outside(value, argument.floor, argument.ceiling)
    if under or over:
        edge = f"below {argument.floor:g}" if under else f"above {argument.ceiling:g}"
        return f"{name} is {value:g}{unit}, and nothing {edge}{unit} makes sense", ""
    if any(_outside(value, argument.low, argument.high)):
        whose = "the range the source covers" if argument.from_source else "what is plausible"
        words = f"{name} is {value:g}{unit}, outside {whose} ({argument.range_in_words()})"
        return (words, "") if argument.outside == "refuse" else ("", words)
    return "", ""


def _outside(value: float, low: float | None, high: float | None) -> tuple[bool, bool]:
    return low is not None and value < low, high is not None and value > high


def _first(given: Mapping[str, Value], wrong: list[str]) -> str:
    """The first given argument that a complaint is about, so that a form can put its cursor there."""
    return next((name for name in given for words in wrong if words.startswith(f"{name} ")), "")


def _refuse_misfit(
    key: str, function: Callable[..., Any], arguments: Mapping[str, Argument], sources: tuple[str, ...]
) -> None:
    """Refuse a registration that does not fit its function; read from the code object, which is quick."""
    code = function.__code__
    keywords = code.co_varnames[code.co_argcount : code.co_argcount + code.co_kwonlyargcount]
    if code.co_argcount or set(keywords) != set(arguments):
        raise ValueError(f"{key}: arguments {sorted(arguments)} do not fit the keywords {sorted(keywords)}")
    if not KEY.fullmatch(key):
        raise ValueError(f"{key}: a key is lower-case words and numbers joined by hyphens")
    if key in _RULES and _RULES[key].function.__qualname__ != function.__qualname__:
        raise ValueError(f"{key}: the key is taken by {_RULES[key].function.__qualname__}")
    if unknown := [source for source in sources if source not in SOURCES]:
        raise ValueError(f"{key}: unknown source {', '.join(unknown)}")


def _full_docstring(rule: Rule) -> str:
    """The written docstring, completed from the registration: formula, arguments, range, references."""
    doc = (rule.function.__doc__ or rule.title).rstrip()
    if rule.formula not in doc:
        doc += f"\n\n    ``{rule.formula}``"
    if "Args:" not in doc:
        doc += "\n\n    Args:\n" + "\n".join(
            f"        {name}: {argument.meaning}, {_kind_in_words(argument)}."
            for name, argument in rule.arguments.items()
        )
    if "Returns:" not in doc:
        doc += f"\n\n    Returns:\n        {_unit_in_words(rule.unit)}."
    if "Valid for" not in doc:
        ranges = "; ".join(f"{name} {argument.range_in_words()}" for name, argument in rule.arguments.items())
        doc += f"\n\n    Valid for: {ranges}."
    if "References:" not in doc:
        doc += "\n\n    References:\n" + "\n".join(
            f"        .. [{number}] {SOURCES[source].citation()}"
            for number, source in enumerate(rule.sources, 1)
        )
    return doc + "\n    "


def _kind_in_words(argument: Argument) -> str:
    return argument.range_in_words() if argument.choices else argument.unit or "plain number"


def _unit_in_words(unit: str | Mapping[str, str]) -> str:
    if isinstance(unit, str):
        return f"The result in {unit}" if unit else "A plain number"
    return "A record of " + ", ".join(f"{name} ({part or 'plain number'})" for name, part in unit.items())

"""From typed words to a checked draft: what a chore is given, each field by its ask, every fault said at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from sqlmodel import SQLModel

from herdbook.chores.asking import Ask
from herdbook.chores.ground import Ground
from herdbook.chores.repeated import Several
from herdbook.errors import Refused, SeveralRefused
from herdbook.plain import plain

if TYPE_CHECKING:
    from herdbook.chores.doing import Chore


class ChoreDraft(SQLModel):
    """What a chore needs, understood and in bounds; each field's annotation carries its `Ask`.

    A draft refuses what its asks refuse, whoever makes it: a screen, a command, a test or another program.
    """

    AS_TYPED: ClassVar[Mapping[str, str]] = {}
    """Field that keeps what was typed -> the field it was typed in; for readings that can be argued over."""

    model_config: ClassVar[Any] = {"extra": "forbid", "arbitrary_types_allowed": True}

    @classmethod
    def asks(cls) -> Mapping[str, Ask]:
        """Field name -> what is asked, in order."""
        return _asks(cls)

    @classmethod
    def required(cls, name: str) -> bool:
        """Whether the field must be given."""
        return bool(cls.model_fields[name].is_required())

    def see_things_stand(self, ground: Ground) -> None:
        """Refuse what points at a thing that is not in the book, or no longer."""
        faults = []
        for name, ask in self.asks().items():
            if getattr(self, name) is not None:
                try:
                    ask.stands(getattr(self, name), ground)
                except Refused as fault:
                    faults.append(fault)
        raise_all(faults)

    def model_post_init(self, context: Any, /) -> None:
        """Check every value against its ask."""
        faults = []
        for name, ask in self.asks().items():
            value = getattr(self, name, None)
            if value is not None:
                try:
                    ask.check(value)
                except Refused as fault:
                    faults.append(fault)
        raise_all(faults)


D = TypeVar("D", bound=ChoreDraft)


@cache
def _asks(cls: type[ChoreDraft]) -> Mapping[str, Ask]:
    found = {}
    for name, info in cls.model_fields.items():
        ask = next((one for one in info.metadata if isinstance(one, Ask)), None)
        if ask is None:
            raise TypeError(f"{cls.__name__}.{name} does not say what it asks")
        found[name] = ask
    return found


def raise_all(faults: Sequence[Refused]) -> None:
    """Raise the faults found, if any: one as it is, several together."""
    if len(faults) == 1:
        raise faults[0]
    if faults:
        raise SeveralRefused(list(faults))


def understand(chore: Chore, texts: Mapping[str, str | Sequence[str]], ground: Ground) -> ChoreDraft:
    """Make a draft from typed texts, or say everything that is wrong with them at once.

    Args:
        chore: the chore.
        texts: field name -> typed text, or a list of texts for a repeated field; empty means not given.
        ground: the farm's units, clock and names.

    Raises:
        Refused: unknown, missing or unusable fields; nothing is written.
    """
    return understand_fields(chore.draft, texts, ground)


def understand_fields(kind: type[D], texts: Mapping[str, str | Sequence[str]], ground: Ground) -> D:
    """`understand` for a draft that is not a chore's own, such as one row of a file."""
    asks = kind.asks()
    faults = [_unknown(name, asks) for name in texts if name not in asks]
    texts = {**texts, **kept_as_typed(kind, texts, ground)}
    values = {}
    for name, ask in asks.items():
        text = texts.get(name, "")
        given = (
            [one for one in text if one.strip()]
            if not isinstance(text, str)
            else ([text] if text.strip() else [])
        )
        if not given:
            if kind.required(name):
                faults.append(
                    Refused(
                        f"{ask.label}: nothing was given.", remedy=f"Give the {ask.label}.", field=ask.label
                    )
                )
            continue
        try:
            values[name] = _value(ask, given, ground)
        except Refused as fault:
            faults.append(fault)
    raise_all(faults)
    return kind(**values)


def kept_as_typed(
    kind: type[ChoreDraft], texts: Mapping[str, str | Sequence[str]], ground: Ground
) -> dict[str, str]:
    """What is kept word for word beside the value understood; a bare number gets the unit it was taken in."""
    kept = {}
    for into, source in kind.AS_TYPED.items():
        text = texts.get(source, "")
        if isinstance(text, str) and text.strip() and not texts.get(into):
            unit = kind.asks()[source].unit_word(ground.units)
            kept[into] = f"{text.strip()} {unit}".strip() if text.strip()[-1].isdigit() else text.strip()
    return kept


def _value(ask: Ask, given: Sequence[str], ground: Ground) -> Any:
    if isinstance(ask, Several):
        return ask.understand_all(given, ground)
    if len(given) > 1:
        raise Refused(f"{ask.label}: given {len(given)} times.", remedy="Give it once.", field=ask.label)
    return ask.understand(given[0], ground)


def _unknown(name: str, asks: Mapping[str, Ask]) -> Refused:
    from difflib import get_close_matches

    near = get_close_matches(name, asks, 1, 0.5)
    hint = f"Did you mean {near[0]}?" if near else f"Known: {', '.join(asks)}."
    return Refused(f"There is no field called {plain(name, longest=40)!r}.", remedy=hint, field=name)

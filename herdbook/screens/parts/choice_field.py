"""The choice field: any part of a name picks it, up and down choose among those that fit."""

from __future__ import annotations

from collections.abc import Sequence

from herdbook.screens.parts.answer import matching
from herdbook.screens.parts.field import Field
from herdbook.screens.parts.understood import Understand, Understood


class ChoiceField(Field):
    """A field for one name of a list.

    Args:
        label: word before the field.
        names: names to pick from, the most used first; what is typed may be any part of one.
        understand: reads the whole name; by default the name is its own value.
    """

    WIDE_TEXT = True

    def __init__(
        self,
        label: str,
        names: Sequence[str],
        *,
        understand: Understand | None = None,
        hint: str = "",
        present: str = "",
        required: bool = False,
        label_cells: int = 0,
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(
            label,
            hint=hint,
            understand=understand or one_of(names),
            present=present,
            required=required,
            choices=lambda: names,
            label_cells=label_cells,
            id=id,
            classes=classes,
        )


def one_of(names: Sequence[str]) -> Understand:
    """Give a reading that takes a name of the list, or the best fit for a part of one."""

    def understand(text: str) -> Understood:
        found = matching(names, text)
        if not found:
            near = ", ".join(names[:4]) + (", ..." if len(names) > 4 else "")
            return Understood(
                error=f"No name holds {text!r}. Names are: {near}." if names else "No names yet."
            )
        return Understood(value=found[0])

    return understand

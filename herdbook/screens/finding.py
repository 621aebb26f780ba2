"""Finding a line of a list: typed words choose the first line that holds them, Enter the next."""

from __future__ import annotations

from rich.text import Text
from textual import events
from textual.message import Message

from herdbook.screens.parts.rows_table import Row, RowsTable
from herdbook.screens.parts.text_field import TextField


class FindField(TextField):
    """What is looked for; typing says it after a pause, Enter says it at once and asks for the next line."""

    class Sought(Message):
        """Something is looked for; `onward` when the line chosen now will not do."""

        def __init__(self, text: str, *, onward: bool) -> None:
            super().__init__()
            self.text, self.onward = text, onward

    def __init__(self) -> None:
        super().__init__("Find", hint="part of a line; Enter: next", id="find")

    async def on_key(self, event: events.Key) -> None:
        if event.key == "enter":
            event.stop()
            event.prevent_default()
            self.read_now()
            self.post_message(self.Sought(self.text, onward=True))

    def on_field_typed(self, message: TextField.Typed) -> None:
        """Nothing here is kept as a draft."""
        message.stop()
        self.post_message(self.Sought(self.text, onward=False))


def find_in(table: RowsTable, text: str, *, onward: bool) -> str:
    """Choose a line that holds the text, from the chosen one on and round; say how many do.

    Args:
        table: the list.
        text: what is looked for, in any letters large or small.
        onward: begin after the chosen line, not with it.
    """
    wanted = text.strip().casefold()
    if not wanted:
        return ""
    keys = [row.key for row in table.rows if wanted in words_of(row)]
    if not keys:
        return f"No line holds “{text.strip()}”."
    order = [row.key for row in table.rows]
    at = order.index(table.chosen) if table.chosen in order else 0
    start = at + onward
    table.choose(next(key for key in order[start:] + order[:start] if key in keys))
    return f"{keys.index(table.chosen or '') + 1} of {len(keys)} lines with “{text.strip()}”."


def words_of(row: Row) -> str:
    """Everything a line says, for looking through."""
    cells = (cell.plain if isinstance(cell, Text) else cell for cell in row.cells)
    return " ".join(cells).casefold()

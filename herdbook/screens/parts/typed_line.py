"""One line of text being typed: what the keys do to it, without any drawing."""

from __future__ import annotations

from dataclasses import dataclass

from rich.cells import cell_len

from herdbook.plain import plain

LONGEST = 200


@dataclass
class TypedLine:
    """Text and the place of the cursor in it, counted in characters."""

    text: str = ""
    cursor: int = 0

    def put(self, text: str) -> None:
        """Replace the text; the cursor stands behind it."""
        self.text = plain(text, longest=LONGEST)
        self.cursor = len(self.text)

    def type(self, characters: str) -> bool:
        """Insert characters at the cursor; harmful ones are left out. Says whether the text changed."""
        kept = "".join(one if one != "\N{NO-BREAK SPACE}" else " " for one in characters)
        kept = "".join(one for one in kept if one == " " or (one.isprintable() and plain(one)))
        kept = kept[: max(0, LONGEST - len(self.text))]
        self.text = self.text[: self.cursor] + kept + self.text[self.cursor :]
        self.cursor += len(kept)
        return bool(kept)

    def paste(self, text: str) -> bool:
        """Insert the first line of pasted text, without terminal codes."""
        first = next((line for line in text.splitlines() if line.strip()), "")
        return self.type(plain(first))

    def press(self, key: str) -> bool | None:
        """Do what an editing key does. Says whether the text changed; None for a key that is not one."""
        before = self.text
        if key == "backspace" and self.cursor:
            self.text = before[: self.cursor - 1] + before[self.cursor :]
            self.cursor -= 1
        elif key == "delete":
            self.text = before[: self.cursor] + before[self.cursor + 1 :]
        elif key == "ctrl+u":
            self.text, self.cursor = before[self.cursor :], 0
        elif key == "ctrl+w":
            kept = before[: self.cursor].rstrip().rpartition(" ")
            self.text = kept[0] + kept[1] + before[self.cursor :]
            self.cursor = len(kept[0] + kept[1])
        elif key in ("left", "right", "home", "end"):
            to = {"left": self.cursor - 1, "right": self.cursor + 1, "home": 0, "end": len(before)}[key]
            self.cursor = min(max(to, 0), len(before))
        elif key != "backspace":
            return None
        return self.text != before

    def view(self, cells: int) -> tuple[str, int]:
        """Give the stretch of text that fits `cells` with the cursor in it, and the cursor's place in it."""
        start = 0
        while start < self.cursor and cell_len(self.text[start : self.cursor]) >= cells:
            start += 1
        end = len(self.text)
        while end > self.cursor and cell_len(self.text[start:end]) > cells:
            end -= 1
        return self.text[start:end], self.cursor - start

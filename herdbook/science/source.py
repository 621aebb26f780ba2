"""What is known about one reference."""

from __future__ import annotations

from typing import NamedTuple


class Source(NamedTuple):
    """One published reference.

    Attributes:
        author: person, committee or body.
        title: of the work; what it is about, where an article's own title was not kept.
        year: of the edition meant; empty where the page carries none.
        place: journal and pages, publisher, report number or clause.
        read: "text" (read as far as it is used), "abstract" (only its abstract), "through" (quoted by the
            work named in the note), or "memory" (recalled, not read again).
        note: what a reader should know about how far to trust it.
    """

    author: str
    title: str
    year: str = ""
    place: str = ""
    read: str = "text"
    note: str = ""

    def citation(self) -> str:
        """One line to print beside a figure."""
        year = f" ({self.year})" if self.year else ""
        place = f", {self.place}" if self.place else ""
        marks = {
            "abstract": " [abstract read]",
            "through": " [quoted in another work]",
            "memory": " [not read again]",
        }
        return f"{self.author}{year}, {self.title}{place}{marks.get(self.read, '')}"

"""Markdown on a terminal: headings flush left, code as it stands, tables folded to the width."""

from __future__ import annotations

from typing import ClassVar

from rich.console import Console, ConsoleOptions, RenderResult
from rich.markdown import CodeBlock, Heading, Markdown, MarkdownElement
from rich.text import Text


class _Heading(Heading):
    """A heading that is only bold, and underlined at the top of a page."""

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        text = self.text.copy()
        text.stylize("bold")
        text.justify = "left"
        if self.tag != "h1":
            yield Text("")
        yield text
        if self.tag == "h1":
            yield Text("=" * text.cell_len)


class _Code(CodeBlock):
    """Lines to be typed, as they are: no colours, never folded into a frame."""

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        yield Text("\n".join(f"    {line}" for line in str(self.text).rstrip().splitlines()))


class Page(Markdown):
    """A page of the manual."""

    elements: ClassVar[dict[str, type[MarkdownElement]]] = {
        **Markdown.elements,
        "heading_open": _Heading,
        "code_block": _Code,
        "fence": _Code,
    }

    def __init__(self, text: str) -> None:
        super().__init__(text, hyperlinks=False)

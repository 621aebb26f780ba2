"""Base widgets that show text exactly as it is: never markup, never wrapped, and sent only where changed."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len
from rich.segment import Segment
from rich.style import Style
from rich.text import Text
from textual.app import App
from textual.geometry import Offset, Region, Size
from textual.strip import Strip
from textual.widget import Widget

from herdbook.screens.parts.lines import fit, harmless
from herdbook.screens.parts.roles import Roles
from herdbook.screens.parts.signs import UNICODE, SignSet


def signs_of(app: App[object]) -> SignSet:
    """Give the sign set the app draws with: its attribute `signs`, or the full set."""
    signs = getattr(app, "signs", UNICODE)
    return signs if isinstance(signs, SignSet) else UNICODE


def strip_of(text: Text, width: int, roles: Roles, base: Style) -> Strip:
    """Turn a line into a strip of exactly `width` cells.

    Text is cleaned of control and direction characters once more. Styles other than role words, and with
    them any action hidden in a style, are ignored. A blank takes the ink of the cell before it, which
    cannot be seen and saves a change of colour on the wire.
    """
    words = [text.style] * len(text) if isinstance(text.style, str) else [""] * len(text)
    for start, end, style in text.spans:
        if isinstance(style, str):
            for at in range(max(0, start), min(end, len(words))):
                words[at] = f"{words[at]} {style}" if words[at] else style
    segments: list[Segment] = []
    run, run_style = "", base
    for character, role in zip(harmless(text.plain), words, strict=True):
        style = base + roles.style(role) if role else base
        if style != run_style and not (character == " " and _same_blank(style, run_style)):
            if run:
                segments.append(Segment(run, run_style))
            run, run_style = "", style
        run += character
    if run:
        segments.append(Segment(run, run_style))
    return Strip(segments).adjust_cell_length(width, base)


def _same_blank(one: Style, other: Style) -> bool:
    """Say whether a blank looks the same in both styles."""
    drawn = one.underline or one.strike or one.reverse or other.underline or other.strike or other.reverse
    return not drawn and one.bgcolor == other.bgcolor


def _cells(strip: Strip) -> list[tuple[str, Style | None]]:
    return [(character, segment.style) for segment in strip for character in segment.text]


def _changed(old: Strip, new: Strip) -> tuple[int, int] | None:
    """Give the first changed cell and the one after the last, or None if nothing changed."""
    if old == new:
        return None
    before, after = _cells(old), _cells(new)
    if (
        len(before) != new.cell_length or len(after) != new.cell_length
    ):  # wide signs: cells are not characters
        return 0, new.cell_length
    differs = [at for at, (one, other) in enumerate(zip(before, after, strict=True)) if one != other]
    return (differs[0], differs[-1] + 1) if differs else None


class Painted(Widget):
    """A widget whose lines are drawn by `paint`; call `freshen` when what it shows may have changed."""

    DEFAULT_CSS = "Painted { width: 1fr; height: auto; }"

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes, markup=False)
        self._strips: list[Strip] | None = None

    def paint(self, width: int, height: int) -> Sequence[Text]:
        """Give the lines to show in `width` x `height` cells; lines too many or too long are cut."""
        raise NotImplementedError

    def lines_wanted(self, width: int) -> int:
        """Give how many lines the widget would like at this width."""
        return 1

    @property
    def signs(self) -> SignSet:
        return signs_of(self.app)

    def freshen(self) -> None:
        """Draw again and send only the cells that differ; send nothing when none does."""
        if not self.is_attached or not self.is_mounted:
            return
        if self._strips is None or len(self._strips) != self.size.height:
            self.refresh()
            return
        old, self._strips = self._strips, self._drawn()
        for y, (before, after) in enumerate(zip(old, self._strips, strict=True)):
            if before.cell_length != after.cell_length:
                self.refresh()
                return
            if span := _changed(before, after):
                self.refresh(Region(span[0], y, span[1] - span[0], 1))

    def _drawn(self) -> list[Strip]:
        width, height = self.size
        base, roles, signs = self.rich_style, Roles(self.app.theme_variables), self.signs
        lines = list(self.paint(width, height))[:height]
        self._rest_cursor(lines)
        strips = [strip_of(fit(line, width, signs), width, roles, base) for line in lines]
        return strips + [Strip.blank(width, base)] * (height - len(strips))

    def _rest_cursor(self, lines: Sequence[Text]) -> None:
        """Tell where the terminal's own cursor belongs, for magnifiers and readers that follow it."""
        if not self.has_focus:
            return
        for y, line in enumerate(lines):
            for span in line.spans:
                if span.style == "cursor":
                    x = cell_len(line.plain[: span.start])
                    self.app.cursor_position = self.content_region.offset + Offset(x, y)
                    return

    def render_line(self, y: int) -> Strip:
        if self._strips is None or len(self._strips) != self.size.height:
            self._strips = self._drawn()
        return self._strips[y] if y < len(self._strips) else Strip.blank(self.size.width, self.rich_style)

    def refresh(
        self, *regions: Region, repaint: bool = True, layout: bool = False, recompose: bool = False
    ) -> Painted:
        if not regions:
            self._strips = None
        super().refresh(*regions, repaint=repaint, layout=layout, recompose=recompose)
        return self

    def notify_style_update(self) -> None:
        self._strips = None
        super().notify_style_update()

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return self.lines_wanted(width)

    def get_content_width(self, container: Size, viewport: Size) -> int:
        return container.width


class Line(Painted):
    """One line of text; too long a text ends in the sign for more.

    Args:
        text: what to show first.
    """

    DEFAULT_CSS = "Line { height: 1; }"

    def __init__(self, text: Text | str = "", *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._text = _as_text(text)

    def show(self, text: Text | str) -> None:
        """Show another text; sends nothing when it is the same."""
        self._text = _as_text(text)
        self.freshen()

    @property
    def text(self) -> Text:
        return self._text

    def paint(self, width: int, height: int) -> Sequence[Text]:
        return [self._text]


class Block(Painted):
    """Several lines of text, each cut for itself; as tall as it has lines unless styled otherwise."""

    def __init__(
        self, lines: Sequence[Text | str] = (), *, id: str | None = None, classes: str | None = None
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._lines = [_as_text(line) for line in lines]

    def show(self, lines: Sequence[Text | str]) -> None:
        """Show other lines; sends only what differs."""
        before, self._lines = len(self._lines), [_as_text(line) for line in lines]
        if len(self._lines) != before:
            self.refresh(layout=True)
        else:
            self.freshen()

    @property
    def lines(self) -> list[Text]:
        return self._lines

    def lines_wanted(self, width: int) -> int:
        return len(self._lines)

    def paint(self, width: int, height: int) -> Sequence[Text]:
        return self._lines


def _as_text(text: Text | str) -> Text:
    return text if isinstance(text, Text) else Text(text)

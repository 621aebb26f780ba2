"""The row that says an alarm stands: above the page, in every place, only as long as there is one."""

from __future__ import annotations

from rich.text import Text

from herdbook.screens.parts.lines import pieces, two_ends
from herdbook.screens.parts.text import Painted
from herdbook.screens.tank_strip import AlarmBanner


class AlarmLine(Painted):
    """One row; not there at all while nothing is to be said."""

    DEFAULT_CSS = "AlarmLine { height: 1; background: $board; color: $chalk; display: none; }"

    def __init__(self) -> None:
        super().__init__()
        self._banner = AlarmBanner()

    def show(self, banner: AlarmBanner) -> None:
        """Show another banner; nothing is sent when it is the same."""
        if banner == self._banner:
            return
        self._banner = banner
        if bool(self.display) != bool(banner.words):
            self.display = bool(banner.words)
        self.freshen()

    def paint(self, width: int, height: int) -> list[Text]:
        """Write the row; the key is the last to be cut."""
        banner = self._banner
        key = f" and {banner.more} more, ! opens " if banner.more else " ! opens "
        if banner.level == "seen":
            return [two_ends(pieces(f" {banner.words}"), pieces((key, "dust")), width, self.signs)]
        sign = self.signs.late if banner.level == "late" else self.signs.look
        line = two_ends(Text(f" {sign} {banner.words}"), Text(key), width, self.signs)
        return [Text(line.plain, "bold alert" if banner.level == "late" else "bold warn")]

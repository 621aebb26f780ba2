"""The amounts typed at the ration desk: one feed after the other, every figure moving with what is typed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from textual.timer import Timer

from herdbook.errors import HerdbookError
from herdbook.plain import plain
from herdbook.screens.book_place import BookPlace
from herdbook.screens.parts.field import Field
from herdbook.screens.parts.lines import pieces
from herdbook.screens.parts.number_field import NumberField
from herdbook.screens.parts.rows_table import RowsTable
from herdbook.screens.parts.text import Line
from herdbook.screens.parts.understood import Understood
from herdbook.screens.ration_amounts import HINT, read_back, understand_amount
from herdbook.screens.ration_drafts import RationDrafts
from herdbook.screens.ration_drawing import HOME, WHOLE, FocusedTable, FollowingTable, feed_columns

if TYPE_CHECKING:
    from herdbook.book.reading.rations import Version
    from herdbook.reports.tried import Item
    from herdbook.reports.what_if import WhatIf
    from herdbook.screens.ration_offer import Offer


SUMS_AFTER_S = 0.2
"""The feed's own row and the row of sums follow every pause in typing."""
FIGURES_AFTER_S = 0.6
"""All figures moving is some 900 bytes: they wait for the end of a number, not for each of its digits."""


class RationTyping(BookPlace):
    """The tables of a ration and the field of row 22, which changes the draft of the ration in view."""

    def __init__(self) -> None:
        super().__init__()
        self.feeds: RowsTable = FollowingTable(
            feed_columns(""),
            lambda: self.amount.has_focus or self.offer is not None,
            noun="feeds",
            gap=1,
            id="feeds",
            empty="No ration yet",
        )
        self.figures = FocusedTable(HOME.columns, noun="figures", header=False, gap=1, id="figures", empty="")
        self.amount = NumberField("", id="amount")
        self.offer_line = Line(
            pieces(
                *("   ", ("Space", "bold"), " takes or leaves, ", ("A", "bold"), " all; "),
                *(("Enter", "bold"), " puts in the draft"),
            ),
            id="offer-line",
        )
        self.offer_line.display = False
        self.drafts = RationDrafts()
        self.offer: Offer | None = None
        self.waits_for: object | None = None
        self._before_typing: tuple[int, Item | None] | None = None
        self._pause: Timer | None = None
        self.may_draft = True
        self._is_warm = False

    # -- what `Ration` gives --

    @property
    def tried(self) -> WhatIf | None:
        """The ration in view as it is tried."""
        raise NotImplementedError

    @property
    def version(self) -> Version | None:
        """Its version in use."""
        raise NotImplementedError

    def draw(self, *, typing: bool = False, figures: bool = True) -> None:
        """Show the ration in view as it is tried; while typing only what moves, of it the figures at the end."""
        raise NotImplementedError

    # -- the amount --

    def typed_in(self) -> Field | None:
        """The amount's field, for those who may draft."""
        return self.amount if self.may_draft else None

    @property
    def chosen_feed(self) -> int | None:
        """The feed in whose row the cursor is."""
        chosen = self.feeds.chosen
        return None if chosen is None or chosen == WHOLE else int(chosen)

    def ask_amount(self) -> None:
        """Ask for the chosen feed's amount; what is typed stays."""
        tried, feed, ground = self.tried, self.chosen_feed, self.ground
        if not self.amount.is_attached or ground is None:
            return
        if tried is None or feed is None:
            self.amount.ask("Amount", _no_amount, hint="E writes a ration first", text=self.amount.text)
        else:
            row = next(row for row in tried.rows() if row.feed == feed)
            hint = "held; Space lets it go" if row.is_locked else HINT.replace(".", ground.units.decimal)
            self.amount.ask(
                plain(row.name),
                lambda text: self._read_back(feed, text),
                unit_word=ground.units.load,
                hint=hint,
                text=self.amount.text,
            )

    def _read_back(self, feed: int, text: str) -> Understood:
        """Read an amount against the ration as it stood before this typing."""
        tried, ground = self.tried, self.ground
        assert tried is not None
        assert ground is not None
        self.undo_typing()
        return read_back(tried, feed, text, ground)

    def on_field_typed(self, message: Field.Typed) -> None:  # type: ignore[override]  # the message is looked at here
        """Move every figure with what is typed, once typing pauses a little longer than for the read-back."""
        self.home.draft_changed()
        if message.field is self.amount:
            self._stop_waiting()
            self._pause = self.set_timer(SUMS_AFTER_S, self._typing_paused)

    def _typing_paused(self) -> None:
        """Move the row and the sums; the figures follow if nothing more is typed."""
        self.try_typed(figures=False)
        self._pause = self.set_timer(FIGURES_AFTER_S - SUMS_AFTER_S, self.try_typed)

    def _stop_waiting(self) -> None:
        if self._pause is not None:
            self._pause.stop()
            self._pause = None

    def try_typed(self, *, figures: bool = True) -> None:
        """Put what is typed into the ration in view, to be taken out again if something else is typed."""
        tried, feed, ground = self.tried, self.chosen_feed, self.ground
        if tried is None or feed is None or ground is None or self.offer is not None:
            return
        self.undo_typing()
        if not self.amount.is_empty and self.amount.state in ("reads", "asks"):
            before = next((item for item in tried.items if item.feed == feed), None)
            tried.change(feed, *understand_amount(tried, feed, self.amount.text, ground))
            self._before_typing = (feed, before)
        self.draw(typing=True, figures=figures)

    def undo_typing(self) -> None:
        """Take what is typed out of the ration in view again."""
        tried, typing = self.tried, self._before_typing
        self._before_typing = None
        if tried is None or typing is None:
            return
        feed, before = typing
        if before is None:
            tried.change(feed, 0)
        else:
            tried.change(feed, before.mg, before.basis)

    def stop_typing(self) -> None:
        """Forget what is typed and not entered."""
        self._stop_waiting()
        if not self.amount.is_empty:
            self.amount.put("")
        self.undo_typing()

    def on_field_entered(self, message: Field.Entered) -> None:
        """Enter keeps the amount in the draft and goes to the next feed."""
        message.stop()
        if message.field is not self.amount:
            return
        self.take_typed()
        self.step_feed(1)

    def take_typed(self) -> None:
        """Keep the typed amount in the draft."""
        self._stop_waiting()
        tried, feed, ground = self.tried, self.chosen_feed, self.ground
        if tried is None or feed is None or ground is None or self.amount.is_empty:
            return
        self.undo_typing()
        tried.change(feed, *understand_amount(tried, feed, self.amount.text, ground))
        self.amount.put("")
        self.draft_is()

    def write_typed(self) -> None:
        """Ctrl+S: keep the amount that is typed; else use the draft."""
        if not self.amount.is_empty:
            self.amount.read_now()
            if self.amount.state == "reads":
                self.take_typed()
            else:
                self.try_typed()
                self.say("Enter takes the amount, or asks about it; then Ctrl+S uses the draft.")
        elif self.tried is not None and self.tried.is_changed:
            self.action_use()
        else:
            self.say("Nothing typed to write.")

    def draft_is(self, words: str = "") -> None:
        """The draft is another: keep it and draw it."""
        tried, version = self.tried, self.version
        if tried is None or version is None:
            return
        self.drafts.keep(version.ration, tried, version.entry)
        if not words and tried.is_changed:
            words = f"Draft kept. Version {version.version} stays in use until you press U."
        self.say(words)
        self.draw()
        self.show_keys()
        self.home.draft_changed()

    def step_feed(self, by: int) -> None:
        """Go to another feed; what was typed and not entered for the one before goes."""
        if not self.amount.is_empty:
            self.stop_typing()
            self.draw()
        before = self.feeds.chosen
        if self.feeds.step(by) and self.feeds.chosen == WHOLE:
            self.feeds.choose(str(before))
        self.note_where()
        self.ask_amount()

    def note_where(self) -> None:
        feed, version = self.chosen_feed, self.version
        if feed is not None and version is not None:
            self.drafts.at = (version.ration, feed)

    def on_descendant_focus(self) -> None:
        """Keys go to feeds or to figures: the other's chosen row does not stand out, and row 24 says which."""
        self.feeds.freshen()
        self.show_keys()

    async def on_key(self, event: Any) -> None:
        """Up and down choose the feed; in a suggestion a line, which Enter takes into the draft with the others."""
        in_field = self.amount.has_focus or self.offer is not None
        if not in_field or self.sheet.is_open or self.slip_is_open:
            return
        if event.key in ("up", "down", "pageup", "pagedown"):
            event.stop()
            steps = {"up": -1, "down": 1, "pageup": -8, "pagedown": 8}
            if self.offer is not None:
                self.feeds.step(steps[event.key])
            else:
                self.step_feed(steps[event.key])
        elif event.key == "enter" and self.offer is not None:
            event.stop()
            self.accept_offer()

    def may_set(self) -> bool:
        try:
            self.see_allowed("ration")
        except HerdbookError as error:
            self.wrong(error)
            return False
        return True

    def action_use(self) -> None:
        """Make the draft the next version."""
        raise NotImplementedError

    def accept_offer(self) -> None:
        """Put the lines of a suggestion that are taken into the draft."""
        raise NotImplementedError

    def show_keys(self) -> None:
        """Show the keys that make sense now."""
        self.keys_row.show(self.keys_line())


def _no_amount(text: str) -> Understood:
    return Understood(error=f"No feed is chosen for {plain(text, longest=20)}.")

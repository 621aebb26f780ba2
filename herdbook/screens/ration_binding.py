"""The table of limits at the ration desk: opened by B, moved through by arrows, filled in the field of row 22."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from herdbook.plain import plain
from herdbook.screens import keys
from herdbook.screens.parts.field import Field
from herdbook.screens.parts.understood import Understood
from herdbook.screens.ration_limits import BOUNDS, DAYS, HINTS, DeskLimits, read_days, read_limit
from herdbook.screens.ration_typing import RationTyping

if TYPE_CHECKING:
    from herdbook.screens.ration_limits import Bound

BIND_KEY = keys.Key(
    "ration.bounds",
    "b",
    "bounds",
    "bounds",
    "Sets what a suggestion keeps to: price, least, most and store of each feed, and the days to last.",
)
WORDS = {"price": "price", "least": "least", "most": "most", "stock": "store"}


class RationBinding(RationTyping):
    """While `binds` is on, rows 22 and the feeds' table are about limits of suggestions and not about amounts."""

    def __init__(self) -> None:
        super().__init__()
        self.binds = False
        self.bound_at: Bound = "price"

    @property
    def limits(self) -> DeskLimits:
        """What is set for the ration in view; it comes into being when it is first asked for."""
        version = self.version
        ration = 0 if version is None else version.ration
        return self.drafts.limits.setdefault(ration, DeskLimits())

    def action_bounds(self) -> None:
        """Open the table of limits, or close it."""
        if self.binds:
            self.leave_bounds()
            return
        if self.tried is None or not self.may_set() or self.offer is not None:
            self.say(
                "Esc leaves the suggestion first." if self.offer is not None else "No ration is in use yet."
            )
            return
        self.stop_typing()
        self.binds = True
        self.say("")
        self._shown_again()

    def leave_bounds(self) -> None:
        """Go back to the amounts."""
        self.binds = False
        self.amount.put("")
        self._shown_again()

    def _shown_again(self) -> None:
        chosen = self.feeds.chosen
        self.set_class(self.binds, "-binds")
        self.draw()
        if not (chosen and self.feeds.choose(chosen)) and self.feeds.rows:
            self.feeds.choose(self.feeds.rows[0].key)
        self.draw()
        self.ask_amount()
        self.show_keys()

    @property
    def chosen_feed(self) -> int | None:
        return None if self.feeds.chosen == DAYS else super().chosen_feed

    def ask_amount(self) -> None:
        if not self.binds:
            super().ask_amount()
            return
        tried, ground, feed = self.tried, self.ground, self.chosen_feed
        if tried is None or ground is None or not self.amount.is_attached:
            return
        if feed is None:
            hint = "0 when the store does not bind"
            self.amount.ask("Days to last", lambda text: read_days(text, ground), unit_word="days", hint=hint)
            return
        name, bound, units = plain(tried.feeds[feed].name), self.bound_at, ground.units
        unit = {"price": f"{units.currency}/{units.bulk}", "stock": units.bulk}.get(bound, units.load)

        def read(text: str) -> Understood:
            return read_limit(bound, name, text, ground)

        hint = HINTS[bound].replace(".", units.decimal)
        self.amount.ask(f"{name}, {WORDS[bound]}", read, unit_word=unit, hint=hint)

    def on_field_typed(self, message: Field.Typed) -> None:  # type: ignore[override]  # the message is looked at
        if self.binds:
            self.home.draft_changed()
        else:
            super().on_field_typed(message)

    def try_typed(self, *, figures: bool = True) -> None:
        if not self.binds:
            super().try_typed(figures=figures)

    def take_typed(self) -> None:
        """Set the typed bound; a draft of amounts is not touched."""
        if not self.binds:
            super().take_typed()
            return
        ground, tried, feed = self.ground, self.tried, self.chosen_feed
        if ground is None or tried is None or self.amount.is_empty:
            return
        text = self.amount.text
        if feed is None:
            self.limits.days = _in_it(read_days(text, ground))
        else:
            self._set(feed, read_limit(self.bound_at, tried.feeds[feed].name, text, ground))
        self.amount.put("")
        self.say("S and M keep to these; the book is not changed.")
        self.draw()
        self.home.draft_changed()

    def _set(self, feed: int, understood: Understood) -> None:
        value = _in_it(understood)
        if value is None:
            self.limits.take_back(self.bound_at, feed)
        else:
            self.limits.put(self.bound_at, feed, value)

    def step_feed(self, by: int) -> None:
        if not self.binds:
            super().step_feed(by)
            return
        self.amount.put("")
        self.feeds.step(by)
        self.draw()
        self.ask_amount()

    def step_bound(self, by: int) -> None:
        """Go to another bound of the chosen feed."""
        self.amount.put("")
        self.bound_at = BOUNDS[(BOUNDS.index(self.bound_at) + by) % len(BOUNDS)]
        self.draw()
        self.ask_amount()

    def write_typed(self) -> None:
        """Ctrl+S: take what is typed; nothing here goes into the book."""
        if not self.binds:
            super().write_typed()
            return
        self.amount.read_now()
        if self.amount.state == "reads":
            self.take_typed()


def _in_it(understood: Understood) -> Any:
    """What stands in a reading that may be nothing: it is kept in a tuple of one."""
    assert isinstance(understood.value, tuple)
    return understood.value[0]

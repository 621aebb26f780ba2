"""The base of every place: what it says of itself, how it reads and writes, and its keys."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, ClassVar, cast

from rich.text import Text
from textual.app import ComposeResult
from textual.compose import compose
from textual.timer import Timer

from herdbook.errors import HerdbookError
from herdbook.screens import keys
from herdbook.screens.door import PLACE_ACTIONS
from herdbook.screens.framed import Framed
from herdbook.screens.parts.lines import pieces

if TYPE_CHECKING:
    from herdbook.screens.app import HerdbookApp

_OLD_ON_ARRIVAL_S = 60
_PATIENCE_S = 0.3  # a read that is over sooner is not worth a word


class Place(Framed):
    """One place of the map, such as the milk house.

    A place sets `ID` and `KEYS`, and overrides what it needs of: `compose_body`, `compose_entry`, `load`,
    `show`, `keys_line`, `why`, `write_typed`, `correct`, `find`, `back`, `draft`, `take_draft`. It calls
    `say`, `ask`, `wrong`, `write`, `reload`, `title_line.show`, `open_slip` and `close_slip`.
    """

    KEYS: ClassVar[tuple[keys.Key, ...]] = ()
    CLOCKED: ClassVar[bool] = False
    """Whether what it shows changes as time goes by, and is read again each minute while a deadline runs."""

    def __init_subclass__(cls, **options: Any) -> None:
        cls.BINDINGS = list(keys.bindings(cls.KEYS))
        super().__init_subclass__(**options)

    def __init__(self) -> None:
        super().__init__()
        self.writing = False
        self._filled = False
        self._stale = True
        self._shown_once = False
        self._catching_up = False
        self._arrive: Callable[[], None] | None = None

    # -- what a place says of itself --

    def compose_body(self) -> ComposeResult:
        """Give the widgets of rows 4 to 21; called after the frame was painted, so imports may be heavy."""
        yield from ()

    def compose_entry(self) -> ComposeResult:
        """Give the widget of row 22, where numbers are typed; nothing where none are."""
        yield from ()

    def load(self, data: Any) -> Any:
        """Read what is shown; runs in the reading thread, where `data` was opened. Must not touch widgets."""
        return None

    def show(self, found: Any) -> None:
        """Show what `load` gave back."""

    def keys_line(self) -> Sequence[tuple[str, str]]:
        """Give pairs of key and word for row 24: the first six of the place's keys."""
        return keys.line(*self.KEYS)

    def why(self) -> Sequence[Text | str]:
        """Explain the chosen figure, line by line; empty when none is chosen."""
        return ()

    def write_typed(self) -> None:
        """Write what was typed (Ctrl+S)."""
        self.say("Nothing typed to write.")

    def correct(self) -> None:
        """Correct the chosen line (C)."""
        self.say("No line chosen that can be corrected.")

    def find(self) -> None:
        """Find a line (/)."""
        self.say("Nothing to find in this place.")

    def back(self) -> bool:
        """Take one step back within the place (Esc); return False when there is none left."""
        return False

    def draft(self) -> Mapping[str, str] | None:
        """Give what was typed and not written, to be kept over a cut line; None when there is nothing."""
        return None

    def take_draft(self, draft: Mapping[str, str]) -> None:
        """Put a kept draft back into the fields."""

    # -- what a place can do --

    @property
    def home(self) -> HerdbookApp:
        """The program this place stands in."""
        return cast("HerdbookApp", self.app)

    @property
    def is_filled(self) -> bool:
        """Whether the body stands already."""
        return self._filled

    def write(
        self,
        chore: Callable[[], str],
        *,
        then: Callable[[], None] | None = None,
        refused: Callable[[HerdbookError], None] | None = None,
    ) -> None:
        """Do a chore in the writing thread; one at a time, and keys typed meanwhile are kept for after it.

        Args:
            chore: writes in the book and returns the words to say, such as ``Written: tank 47.7 °F.``
            then: called when it is written, before the place is read again.
            refused: called with the error when it was not; the error is said in any case.
        """
        if self.writing:
            return
        self._set_writing(True)

        def done(words: str) -> None:
            self._set_writing(False)
            self.say(words)
            if then is not None:
                then()
            self._catching_up = True  # keys typed ahead are meant for the book as it is now
            self.home.book_changed()

        def failed(error: Exception) -> None:
            self._set_writing(False)
            self.home.drop_keys()
            if not isinstance(error, HerdbookError):
                self.home.crash(error)
                return
            self.wrong(error)
            if refused is not None:
                refused(error)

        self.home.write_in_thread(chore, done, failed)

    def reload(self) -> None:
        """Read the book again and show it; what stands there stays until then."""
        self._stale = False
        slow = self.set_timer(_PATIENCE_S, lambda: self.title_line.reading(True))

        def done(found: Any) -> None:
            self._caught_up(slow)
            if not self._filled:  # the body is on its way; it asks again once it stands
                self._stale = True
                return
            self._shown_once = True
            self.show(found)
            if self._arrive is not None:
                arrive, self._arrive = self._arrive, None
                arrive()

        def failed(error: Exception) -> None:
            self._caught_up(slow)
            self._stale = True
            self.home.could_not_read(error)

        self.home.reading.ask(self.ID, self.load, done=done, failed=failed)

    def _caught_up(self, slow: Timer) -> None:
        slow.stop()
        self.title_line.reading(False)
        if self._catching_up:
            self._catching_up = False
            self.home.call_later(self.home.release_keys)

    def is_old(self, than_s: int) -> bool:
        """Whether what it shows is of a moment longer ago than that, so that time alone has changed it."""
        return False

    def arrive(self, do: Callable[[], None]) -> None:
        """Do something once what the place shows is on the screen, such as going to a line."""
        if self._shown_once and not self._stale:
            do()
        else:
            self._arrive = do

    # -- the frame at work --

    def on_mount(self) -> None:
        """Show keys and strip as they are known, and fill the body once the frame is on the screen."""
        self.keys_row.show(self.keys_line())
        self.show_strip(self.home.strip)
        self.call_after_refresh(self._fill)

    async def _fill(self) -> None:
        if not self.is_attached:
            return
        async with self.batch():
            await self.body.mount_all(compose(self, self.compose_body()))
            await self.entry.mount_all(compose(self, self.compose_entry()))
        self.entry.display = self.has_entry and not self.slip_is_open
        self._filled = True
        if self.focused is None:
            self.focus_again(None)
        self._take_kept(self.home.opening.drafts)
        self.home.call_later(self.home.release_keys)
        self.home.first_frame_is_out()
        self.reload()

    def _take_kept(self, drafts: Mapping[str, Mapping[str, str]]) -> None:
        """Put back what an earlier session left unfinished here; on the first place, say where else some waits."""
        elsewhere = [place for place in keys.PLACES if drafts.get(place.id) and place.id != self.ID]
        if elsewhere and self.home.opening.first == self.ID:
            names = ", ".join(f"{place.title} ({place.press.upper()})" for place in elsewhere)
            self.say(f"What was typed and not written waits in {names}.")
        if kept := drafts.get(self.ID):
            self.take_draft(kept)

    def on_screen_resume(self) -> None:
        """Catch up with what changed while another place was in view."""
        self.show_strip(self.home.strip)
        old = self.is_old(_OLD_ON_ARRIVAL_S)
        if old:
            self.home.load_strip()
        if self._filled and (self._stale or old):
            self._catching_up = True
            self.reload()

    def on_screen_suspend(self) -> None:
        """Take nothing half asked along to another place."""
        self.withdraw_question()
        self.close_sheet()

    def outdated(self) -> None:
        """Note that the book has changed; read it again now if in view, else when next in view."""
        self._stale = True
        if self.is_current and self._filled:
            self.reload()

    @property
    def holds_keys(self) -> bool:
        """Whether keys wait: the pen is out, the body is on its way, a slip is rising, or what is offered is old."""
        return self.writing or not self._filled or self.slip_is_rising or self._catching_up

    def slip_is_up(self) -> None:
        """Let keys typed ahead into the slip."""
        self.home.call_later(self.home.release_keys)

    def _set_writing(self, writing: bool) -> None:
        self.writing = writing
        if writing:
            self.withdraw_question()
            self.say_line.say(f"Writing{self.home.signs.more}", "writing")
        self.keys_row.off(writing)
        self.set_class(writing, "-writing")

    # -- what fields and slips tell --

    def on_field_typed(self) -> None:
        """Something was typed in a field: the draft is kept."""
        self.home.draft_changed()

    def on_slip_changed(self) -> None:
        """Something was typed in a slip: the draft is kept."""
        self.home.draft_changed()

    def on_slip_left(self) -> None:
        """The slip was left with Esc; what was typed is the draft of the place."""
        self.home.draft_changed()
        self.close_slip()

    # -- keys that are the same everywhere --

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Let through only actions that are on the list, and only looking around while the pen is out."""
        if action not in PLACE_ACTIONS and action not in {key.action.partition("(")[0] for key in self.KEYS}:
            return False
        return not self.writing

    def step_back(self) -> bool:
        """Close the nearest open thing; False when nothing was open."""
        if self.sheet.is_open:
            self.close_sheet()
        elif self.back():
            pass
        elif self.slip_is_open:
            self.close_slip()
        else:
            return False
        return True

    def show_all_keys(self) -> None:
        """List every key of this place over the body."""
        rows: list[Text | str] = []
        for group in (self.KEYS, keys.MOVES, keys.EVERYWHERE):
            rows += [
                pieces((f"   {keys.on_screen(key.label, self.home.signs):<12}", "bold"), key.says)
                for key in group
            ]
            rows.append("")
        rows += [
            pieces((f"   {place.press.upper():<12}", "bold"), f"{place.title}: {place.says}")
            for place in keys.PLACES
        ]
        self.open_sheet("ALL KEYS", f"of {keys.title_of(self.ID) or 'this place'}, Esc closes", rows)

    def show_places(self) -> None:
        """List the places over the body, to be chosen with digits or Enter."""
        self.open_sheet(
            "PLACES",
            "Enter or the number goes there, Esc closes",
            (),
            [(f"{place.title:<10} {place.says}", _goer(self.home, place.id)) for place in keys.PLACES],
        )

    def show_reports(self) -> None:
        """List every report (I)."""
        self.say("There is no report to read in this place.")

    def show_why(self) -> None:
        """Explain the chosen figure over the body."""
        lines = self.why()
        if lines:
            self.open_sheet("WHY", "rule, source and entries behind it, Esc closes", lines)
        else:
            self.say("Choose a figure first; then = explains it.")


def _goer(home: HerdbookApp, place_id: str) -> Callable[[], None]:
    return lambda: home.go(place_id)

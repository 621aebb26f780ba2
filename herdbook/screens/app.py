"""The program the places stand in: opens them, reads and writes for them, and ends in good order."""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from importlib import import_module
from typing import Any, cast

from textual.screen import Screen
from textual.theme import Theme
from textual.timer import Timer

from herdbook.errors import HerdbookError
from herdbook.screens import keys, terminal, theme
from herdbook.screens.crash import report_of, tell_crash
from herdbook.screens.draft_keeper import DraftKeeper
from herdbook.screens.keys_in_turn import KeysInTurn
from herdbook.screens.opening import Opening
from herdbook.screens.parts.signs import choose_signs
from herdbook.screens.place import Place
from herdbook.screens.reading import Reading
from herdbook.screens.tank_strip import TankStrip

CRASHED = 70  # EX_SOFTWARE of sysexits.h
_MINUTE_S = 60.0
_QUIET_S = 600.0
"""While no deadline runs the day still goes on: what is due, and at night the date."""
_LOUD = {"slow": 1, "late": 2}


class HerdbookApp(KeysInTurn):
    """The places of one book on one terminal.

    Args:
        opening: what it is opened with.
        environ: the environment, looked at for colours and signs only; the process's own when left out.
    """

    BINDINGS = list(keys.app_bindings())
    CSS = """
    * { scrollbar-size: 0 0; }
    Screen { background: $ground; color: $chalk; overflow: hidden; }
    #body { height: 1fr; background: $ground; overflow: hidden; }
    #slip { height: auto; max-height: 100%; background: $ground; overflow: hidden; }
    #entry { height: 1; background: $board; }
    """

    def __init__(self, opening: Opening, environ: Mapping[str, str] | None = None) -> None:
        environ = os.environ if environ is None else environ
        self.skin = _skin(environ, light=opening.light)
        self._our_theme = theme.theme(self.skin)
        super().__init__()
        if self.skin == "none":
            self._filters = [filter_ for filter_ in self._filters if type(filter_).__name__ != "Monochrome"]
        self.animation_level = "none"
        self.opening = opening
        self.signs = choose_signs(opening.signs, environ)
        self.strip: TankStrip | None = None
        self.crash_report = ""
        self.reading = Reading(
            open_data=opening.open_data,
            version=opening.version,
            deliver=self._deliver,
            changed=self.book_changed,
        )
        self._places: dict[str, Place] = {}
        self._writer: ThreadPoolExecutor | None = None
        self._minute: Timer | None = None
        self._rest: Timer | None = None
        self._draft_timer: Timer | None = None
        self._keeper = DraftKeeper(opening.keep_drafts) if opening.keep_drafts is not None else None
        self._is_leaving = False

    # -- places --

    def get_default_screen(self) -> Screen[Any]:
        """Open on the first place."""
        first = self._place(self.opening.first)
        first._push_result_callback(first, None)  # the framework gives one only to screens that were pushed
        return first

    @property
    def place(self) -> Place:
        """The place in view."""
        return cast(Place, self.screen)

    def go(self, place_id: str, arrive: Callable[[Place], None] | None = None) -> None:
        """Go to a place.

        Args:
            place_id: where to.
            arrive: called with the place once what it shows is there, for going on to a line or a field.
        """
        place = self._place(place_id)
        if place is not self.screen:
            self.switch_screen(place)
        else:
            place.close_sheet()
        if arrive is not None:
            place.arrive(lambda: arrive(place))

    def _place(self, place_id: str) -> Place:
        if place_id not in self._places:
            module, _, name = keys.place_key(place_id).module.partition(":")
            made = getattr(
                import_module(f"herdbook.screens.{module}" if "." not in module else module), name
            )()
            self._places[place_id] = made
            self.install_screen(made, name=f"place-{place_id}")
        return self._places[place_id]

    # -- reading --

    def first_frame_is_out(self) -> None:
        """Start reading, now that something is on the screen; called by each place as it is filled."""
        if not self.reading.started:
            gc.enable()  # `start` turned it off to be quick
            self.reading.start()
            if self.opening.first_strip is not None:
                self.reading.ask(
                    "first strip",
                    self.opening.first_strip,
                    done=self._show_first_strip,
                    failed=self.could_not_read,
                )
            self.load_strip()

    def load_strip(self) -> None:
        """Work the tank strip out again."""
        if self.opening.load_strip is not None:
            self.reading.ask(
                "strip", self.opening.load_strip, done=self._show_strip, failed=self.could_not_read
            )

    def book_changed(self) -> None:
        """Somebody wrote: the place in view and the strip are read again, others when next in view."""
        self.load_strip()
        for place in self._places.values():
            place.outdated()

    def could_not_read(self, error: Exception) -> None:
        """Say why the book could not be read; a fault of the program ends it."""
        if isinstance(error, HerdbookError):
            self.place.wrong(error)
        else:
            self.crash(error)

    def _show_first_strip(self, strip: TankStrip) -> None:
        if self.strip is None:
            self.place.tank_line.show(strip)

    def _show_strip(self, strip: TankStrip) -> None:
        before, self.strip = self.strip, strip
        self.place.show_strip(strip)
        if before is not None and _is_louder(strip, before):
            self._ring()
        if self._minute is not None:
            self._minute.stop()
        self._minute = self.set_timer(_MINUTE_S if strip.runs else _QUIET_S, self._time_went_by)

    def _time_went_by(self) -> None:
        """Work out anew what changes by itself: the strip, and the place in view where it shows the time."""
        self.load_strip()
        for place in self._places.values():
            if place.CLOCKED or place.is_old(int(_QUIET_S)):
                place.outdated()

    def _ring(self) -> None:
        """Ring once as the tank turns too slow, once as it turns late, and with every alarm."""
        if self.opening.bell:
            self.bell()

    def _deliver(self, call: Callable[..., None], *arguments: Any) -> None:
        self.call_later(call, *arguments)

    def call_from_another_thread(self, call: Callable[..., None], *arguments: Any) -> None:
        """Have something called in the program's own thread, soon."""
        self._deliver(call, *arguments)

    # -- writing --

    def write_in_thread(
        self, chore: Callable[[], str], done: Callable[[str], None], failed: Callable[[Exception], None]
    ) -> None:
        """Do a chore in the one writing thread; it is waited for when the program ends."""

        def run() -> None:
            try:
                words = chore()
            except Exception as error:
                self._deliver(failed, error)
            else:
                self._deliver(done, words)

        if self._writer is None:
            self._writer = ThreadPoolExecutor(1, thread_name_prefix="writing")
        self._writer.submit(run)

    def draft_changed(self) -> None:
        """Note that something was typed; drafts are kept a second later, lest a killed session lose them."""
        if self._keeper is not None and self._draft_timer is None:
            self._draft_timer = self.set_timer(1.0, self._keep_drafts_aside)

    def _keep_drafts_aside(self) -> None:
        self._draft_timer = None
        if self._keeper is not None:
            self._keeper.keep_aside(self._drafts())

    def _drafts(self) -> dict[str, dict[str, str]]:
        """What is unfinished: in places that were opened what stands there, in others what was kept before."""
        open_ones = {name: place for name, place in self._places.items() if place.is_filled}
        drafts = {name: dict(kept) for name, kept in self.opening.drafts.items() if name not in open_ones}
        for name, place in open_ones.items():
            if draft := place.draft():
                drafts[name] = dict(draft)
        return drafts

    # -- keys --

    def key_came(self) -> None:
        """Start the rest clock anew."""
        if self.opening.rest_after_s is None:
            return
        if self._rest is not None:
            self._rest.stop()
        self._rest = self.set_timer(self.opening.rest_after_s, lambda: self.go(self.opening.first))

    def action_go(self, place_id: str) -> None:
        """Go to a place (its function key)."""
        self.go(place_id)

    def action_all_keys(self) -> None:
        """List all keys of this place, or put the list away (F1)."""
        self.place.close_sheet() if self.place.sheet.is_open else self.place.show_all_keys()

    def action_places(self) -> None:
        """List the places (J)."""
        self.place.show_places()

    def action_write(self) -> None:
        """Write what was typed (Ctrl+S)."""
        self.place.write_typed()

    def action_why(self) -> None:
        """Explain the chosen figure (=)."""
        self.place.show_why()

    def action_temperature(self) -> None:
        """Write a tank temperature from anywhere (T)."""
        self._open_slip("temperature")

    def action_note(self) -> None:
        """Write a note from anywhere (N)."""
        self._open_slip("note")

    def action_alarms(self) -> None:
        """List the alarms, and look after one (!)."""
        self._open_slip("alarms")

    def action_correct(self) -> None:
        """Correct the chosen line (C)."""
        self.place.correct()

    def action_reports(self) -> None:
        """List every report (I)."""
        self.place.show_reports()

    def action_find(self) -> None:
        """Find a line (/)."""
        self.place.find()

    async def action_back(self) -> None:
        """Go one step back (Esc); on the first place, ask whether to leave."""
        if self.place.step_back():
            return
        if self.opening.first != self.place.ID:
            self.go(self.opening.first)
        else:
            self.action_leave()

    def action_leave(self) -> None:
        """Ask whether to leave (Ctrl+Q)."""
        if not self.place.say_line.asking:
            self.place.ask("Leave?", lambda: self.leave_now(0))

    def action_redraw(self) -> None:
        """Draw the screen anew, from the book as it is now (Ctrl+L)."""
        self.book_changed()
        redraw = getattr(self._driver, "redraw", None)
        if redraw is not None:
            redraw()
        self.screen.refresh(layout=True)

    def action_how_to_leave(self) -> None:
        """Say how to leave (Ctrl+C, out of habit)."""
        self.place.say("Ctrl+C does nothing here. Ctrl+Q leaves.")

    def _open_slip(self, name: str) -> None:
        make = self.opening.slips.get(name)
        if make is None:
            self.place.say("Not to be written from here yet.")
        elif (slip := make(self.place)) is not None:
            self.place.open_slip(slip)

    def notify(self, message: str, **_: Any) -> None:
        """Say on row 23 what the framework would show in a box of its own."""
        if self._screen_stack and isinstance(self.screen, Place):
            self.place.say(message)

    # -- ending --

    def leave_now(self, status: int) -> None:
        """End the program with this exit status; drafts are kept first, the terminal is restored after."""
        if self._is_leaving:
            return
        self._is_leaving = True
        self.crash_report += self.keep_drafts_now()
        self.reading.stop()
        self.exit(status, return_code=status)

    def keep_drafts_now(self) -> str:
        """Keep the drafts before the end; return the report of what went wrong, for leaving must not fail."""
        if self._keeper is None:
            return ""
        try:
            self._keeper.keep_now(self._drafts())
        except Exception as error:
            return report_of(error)
        return ""

    def crash(self, error: Exception) -> None:
        """End after a fault of the program: terminal restored, drafts kept, one line said."""
        self._handle_exception(error)

    def _fatal_error(self) -> None:
        """Keep the report for the log; stored values never end up on the terminal with it."""
        self.crash_report = report_of(self._exception)
        if not self._is_leaving:
            self._is_leaving = True
            self.crash_report += self.keep_drafts_now()
        self._return_code = CRASHED
        self._close_messages_no_wait()

    def panic(self, *renderables: Any) -> None:
        """As above, whoever calls it."""
        self._fatal_error()

    # -- looks --

    @property
    def available_themes(self) -> dict[str, Theme]:
        """Our own colours only."""
        return {self._our_theme.name: self._our_theme}

    @property
    def current_theme(self) -> Theme:
        """Our own colours."""
        return self._our_theme


def run(opening: Opening) -> int:
    """Show the screens until they are left; return the exit status.

    Called by `herdbook.screens.start.start`, which asks the terminal and cleans the environment first.

    Returns:
        0 when left in order; 143, 129 or 130 when told to end, hung up or interrupted; 70 after a fault.
    """
    from herdbook.screens.driver import ThriftyDriver

    app = HerdbookApp(opening)
    app.driver_class = ThriftyDriver
    app.run()
    status = app.return_code or 0
    if app.crash_report:
        tell_crash(app.crash_report, opening.crash_log)
    return status


def _is_louder(strip: TankStrip, before: TankStrip) -> bool:
    """Whether the tank's row grew louder, or an alarm says what it did not say before."""
    return bool(strip.alarms.loud - before.alarms.loud) or _LOUD.get(strip.level, 0) > _LOUD.get(
        before.level, 0
    )


def _skin(environ: Mapping[str, str], *, light: bool) -> theme.Skin:
    colours = terminal.colours(environ)
    if colours == "256":
        return "day" if light else "night"
    return "sixteen" if colours == "16" else "none"

"""The line to the terminal: sends only what changed, outlives a terminal that went away, leaves it tidy."""

from __future__ import annotations

import contextlib
import os
import re
import selectors
import signal
import sys
import termios
import threading
from codecs import getincrementaldecoder
from collections.abc import Callable
from types import FrameType
from typing import IO, TYPE_CHECKING, Any

from textual._xterm_parser import XTermParser
from textual.drivers._writer_thread import WriterThread
from textual.drivers.linux_driver import LinuxDriver
from textual.message import Message
from textual.messages import InBandWindowResize

from herdbook.screens import terminal
from herdbook.screens.ending import Ending
from herdbook.screens.terminal import ENDINGS
from herdbook.screens.wire import Sheet

if TYPE_CHECKING:
    from textual.app import App

# Modes, mode questions, the key protocol and the bell: all that may pass besides drawing.
_MODES = re.compile(r"(?:\x1b\[\?[0-9;]+(?:[hl]|\$p)|\x1b\[[<>][0-9]*u|\x07)+")
_SYNC_BEGIN, _SYNC_END = "\x1b[?2026h", "\x1b[?2026l"
_FOCUS_REPORTS = "\x1b[?1004h"
_WORTH_HOLDING = 600  # bytes from which a drawing is shown by the terminal in one go, if it can


class QuietWriter(WriterThread):
    """A writer that goes on taking (and dropping) what it is given once the terminal is gone.

    It writes to the terminal itself, past the interpreter's buffer: what is stuck in that would be tried once
    more at the very end, and spoil the exit status.
    """

    def __init__(self, file: IO[str], gone: Callable[[], None]) -> None:
        super().__init__(file)
        self._encoding = getattr(file, "encoding", None) or "utf-8"
        self._gone = gone

    def run(self) -> None:
        """Write what comes, in as few pieces as possible, until told to stop."""
        lost, last = False, False
        while not last:
            pieces = [self._queue.get()]
            while not self._queue.empty():
                pieces.append(self._queue.get())
            last = None in pieces
            if not lost and not self._write_all("".join(piece for piece in pieces if piece)):
                lost = True
                self._gone()

    def _write_all(self, text: str) -> bool:
        data = text.encode(self._encoding, "replace")  # a locale that lacks a sign must not end the session
        try:
            while data:
                data = data[os.write(self._file.fileno(), data) :]
        except (OSError, ValueError):
            return False
        return True


class ThriftyDriver(LinuxDriver):
    """The framework's driver for Linux with a quiet wire.

    Only differences of cells are sent. Text can never carry a terminal command: control functions inside a
    drawing other than pen and position are dropped, and outside of one only mode settings and the bell pass.
    TERM, HUP, an interrupt and a terminal that went away end the program in good order (`App.leave_now`).
    """

    def __init__(
        self, app: App[Any], *, debug: bool = False, mouse: bool = True, size: tuple[int, int] | None = None
    ) -> None:
        assert sys.__stdout__ is not None  # asked before: terminal.why_no_screens
        # a descriptor of our own: the solver's library is loaded with standard output shut, and nothing drawn
        # meanwhile may be lost
        self._out: IO[str] = os.fdopen(os.dup(sys.__stdout__.fileno()), "w", encoding=sys.__stdout__.encoding)
        self._writer: QuietWriter | None = None
        self._handlers_before: dict[int, Any] = {
            number: signal.getsignal(number) for number in (signal.SIGTSTP, signal.SIGCONT)
        }
        self._taking: list[str] | None = None  # the modes set while the terminal is being taken
        self._taken: list[str] = []
        self._line_settings: list[Any] | None = None  # of the terminal, as the screens need them
        super().__init__(app, debug=debug, mouse=mouse, size=size)
        self._sheet = Sheet(*self._get_terminal_size())
        self._resized = False
        self._sync = False
        self._pen_lock = threading.Lock()  # the input thread sets modes while the main thread draws
        self._ending = Ending(self._leave, self._keep_unfinished, self._end_hard)

    @property
    def _writer_thread(self) -> WriterThread | None:
        return self._writer

    @_writer_thread.setter
    def _writer_thread(self, thread: WriterThread | None) -> None:
        """Put our writer where the framework makes its own, before anything is written."""
        self._writer = None if thread is None else QuietWriter(self._out, self._terminal_gone)

    # -- writing --

    def write(self, data: str) -> None:
        """Send mode settings as they are, and of a drawing what changed."""
        with self._pen_lock:
            if data in (_SYNC_BEGIN, _SYNC_END):
                self._sync = data == _SYNC_BEGIN
            elif data == _FOCUS_REPORTS:
                pass  # a window that is looked away from needs no answer
            elif _MODES.fullmatch(data):
                if self._taking is not None:
                    self._taking.append(data)
                self._send(data)
            else:
                self._draw(data)

    def redraw(self) -> None:
        """Take nothing on the terminal for granted any more: the next drawing is sent whole."""
        self._resized = True

    def _draw(self, data: str) -> None:
        size = self._app.size
        if self._resized or size != (self._sheet.columns, self._sheet.rows):
            self._resized = False
            self._sheet.resize(size.width, size.height)
        self._sheet.draw(data)
        changes = self._sheet.changes()
        if len(changes) > _WORTH_HOLDING and self._sync:
            changes = f"{_SYNC_BEGIN}{changes}{_SYNC_END}"
        if changes:
            self._send(changes)

    def _send(self, data: str) -> None:
        if self._writer_thread is not None:
            self._writer_thread.write(data)

    def _enable_mouse_support(self) -> None:
        """Clicks and the wheel only: reports of every movement would make the wire talk for nothing."""
        if self._mouse:
            self._send("\x1b[?1000h\x1b[?1006h")

    def _disable_mouse_support(self) -> None:
        if self._mouse:
            self._send("\x1b[?1000l\x1b[?1006l")

    def _enable_mouse_pixels(self) -> None:
        """Pixels are finer than a click on a line needs."""

    # -- starting and stopping --

    def start_application_mode(self) -> None:
        """Take the terminal, with the way back prepared first."""
        self._ending.start()
        self._catch_endings()
        self._taking = []
        super().start_application_mode()  # type: ignore[no-untyped-call]
        self._taken, self._taking = self._taking, None
        with contextlib.suppress(termios.error):
            self._line_settings = termios.tcgetattr(self.fileno)
        self._wipe()
        self._watch_resizing()
        self._listen_for_going_on()

    def _wipe(self) -> None:
        self._send("\x1b[m\x1b[2J")
        with self._pen_lock:
            self._sheet.blank()

    def _sigtstp_application(self, *_: object) -> None:
        """Stay: the screens are not left for a shell, and nobody would see the tank's alarm meanwhile."""

    def _sigcont_application(self, *_: object) -> None:
        """Nothing before the terminal is taken: from then on the loop itself hears of this signal."""

    def _listen_for_going_on(self) -> None:
        """After a stop take the terminal again, from the loop.

        A line that is cut sends this signal too, right behind the one that ends the session. Setting up the terminal
        where a signal happens to arrive waits for ever for the pen that the interrupted drawing holds. And the system
        may hand it to any thread, which does not wake a loop that sleeps: the loop's own way of listening does.
        """
        if threading.current_thread() is threading.main_thread():  # signals belong to it
            self._loop.add_signal_handler(signal.SIGCONT, self._take_again)

    def _take_again(self) -> None:
        """Set the line and the modes as they were taken, and draw everything: a shell had the terminal meanwhile."""
        if self._line_settings is None:
            return
        try:
            termios.tcsetattr(self.fileno, termios.TCSANOW, self._line_settings)
        except termios.error:
            return  # it is gone
        for mode in self._taken:
            self.write(mode)
        self._wipe()
        self._app.call_later(getattr(self._app, "action_redraw", self._app.refresh))

    def stop_application_mode(self) -> None:
        """Give the terminal back with a bare pen."""
        self._line_settings = None
        self._send("\x1b[m")
        super().stop_application_mode()

    def close(self) -> None:
        """Let the last bytes out, then give the signals back to whoever had them."""
        super().close()
        self._ending.is_over()
        with contextlib.suppress(RuntimeError):  # the loop has ended already
            self._loop.remove_signal_handler(signal.SIGCONT)
        for number, handler in self._handlers_before.items():
            signal.signal(number, handler if handler is not None else signal.SIG_DFL)
        self._handlers_before.clear()

    def _watch_resizing(self) -> None:
        resized = signal.getsignal(signal.SIGWINCH)

        def on_resize(number: int, frame: FrameType | None) -> None:
            self.redraw()
            if callable(resized):
                resized(number, frame)

        signal.signal(signal.SIGWINCH, on_resize)

    def process_message(self, message: Message) -> None:
        """Pass a message of the terminal on; a new size makes what is shown uncertain."""
        if isinstance(message, InBandWindowResize):
            self.redraw()
        super().process_message(message)

    # -- endings --

    def _catch_endings(self) -> None:
        if threading.current_thread() is not threading.main_thread():
            return  # only tests run elsewhere, and signals belong to the main thread
        for number in ENDINGS:
            self._handlers_before[number] = signal.getsignal(number)
            signal.signal(number, self._on_ending)

    def _on_ending(self, number: int, _frame: FrameType | None) -> None:
        self._ending.ask(ENDINGS[signal.Signals(number)])

    def _terminal_gone(self) -> None:
        self._ending.ask(ENDINGS[signal.SIGHUP])

    def _leave(self, status: int) -> None:
        """Ask the program to end."""
        leave: Callable[[int], object] = getattr(self._app, "leave_now", self._app.exit)
        with contextlib.suppress(RuntimeError):  # the loop has ended already
            self._loop.call_soon_threadsafe(leave, status)

    def _keep_unfinished(self) -> None:
        """Keep what was typed where the program hangs."""
        getattr(self._app, "keep_drafts_now", str)()

    def _end_hard(self, status: int) -> None:
        terminal.restore()
        os._exit(status)

    # -- reading --

    def run_input_thread(self) -> None:
        """Read keys until the program ends or the terminal is gone (end of file, or an error in reading)."""
        parser = XTermParser(self._debug)
        decode = getincrementaldecoder("utf-8")("replace").decode
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                if selector.select(0.1):
                    data = self._read()
                    if not data:
                        self._terminal_gone()
                        return
                    for event in parser.feed(decode(data)):
                        self.process_message(event)
                for event in parser.tick():
                    self.process_message(event)

    def _read(self) -> bytes:
        try:
            return os.read(self.fileno, 4096)
        except OSError:
            return b""

"""Every way out that the framework offers is shut; what it offers is listed from its own source."""

from __future__ import annotations

import inspect
import re
from pathlib import Path

import pytest
import textual
from textual.app import App
from textual.binding import Binding
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Static

from herdbook.screens import environment, keys
from herdbook.screens.door import APP_ACTIONS, PLACE_ACTIONS, ShutDoor, ShutError
from herdbook.screens.place import Place
from tests.waiting import text, until

# What the framework's own App can do that reaches a file, a program, the network or the clipboard, or opens a
# screen that is not ours. Found by reading the source of release 8.2.8.
WAYS_OUT = {
    "suspend", "save_screenshot", "deliver_screenshot", "deliver_text", "deliver_binary",
    "open_url", "copy_to_clipboard", "search_commands", "search_themes", "get_system_commands",
}  # fmt: skip
SUSPICIOUS = re.compile(
    r"open_url|webbrowser|subprocess|\.suspend\(|deliver_|\bopen\(|copy_to_clipboard|SIGSTOP|makedirs"
)


def framework_actions(cls):
    return {
        name.removeprefix("action_")
        for base in cls.__mro__
        if base.__module__.startswith("textual")
        for name in vars(base)
        if name.startswith("action_")
    }


@pytest.mark.parametrize("action", sorted(framework_actions(App)))
def test_no_action_of_the_framework_runs_on_the_program_unless_listed(barn, action):
    allowed = {"focus_next", "focus_previous", "back"}  # `back` is ours, of the same name
    assert bool(barn.check_action(action, ())) is (action in allowed)


@pytest.mark.parametrize("action", sorted(framework_actions(Screen) | framework_actions(Widget)))
def test_no_action_of_the_framework_runs_on_a_place(barn, action):
    assert not Place().check_action(action, ()) or action in PLACE_ACTIONS


def test_every_way_out_in_the_source_is_known():
    """A new release that opens files or programs in another method of App shows up here."""
    found = {
        name
        for name, method in inspect.getmembers(App, inspect.isfunction)
        if SUSPICIOUS.search(inspect.getsource(method)) and not name.startswith("_")
    }
    known = WAYS_OUT | {"action_screenshot", "action_suspend_process", "action_copy_text", "run_async"}
    assert found <= known, found - known


@pytest.mark.parametrize("name", sorted(WAYS_OUT))
def test_every_way_out_is_our_own_method(name):
    assert getattr(ShutDoor, name) is not getattr(App, name)


@pytest.mark.parametrize("call", [
    lambda app, folder: app.save_screenshot("x.svg", str(folder)),
    lambda app, folder: app.deliver_screenshot("x.svg", str(folder)),
    lambda app, folder: app.deliver_text(folder / "x.txt"),
    lambda app, folder: app.deliver_binary(folder / "x.bin"),
    lambda app, folder: app.search_commands([]),
    lambda app, folder: app.suspend().__enter__(),
])  # fmt: skip
async def test_ways_to_files_and_programs_refuse(barn, tmp_path, call):
    async with barn.run_test(size=(80, 24)):
        with pytest.raises(ShutError):
            call(barn, tmp_path)
    assert not list(tmp_path.glob("x.*"))


async def test_no_browser_is_started(barn, monkeypatch):
    started = []
    monkeypatch.setattr("webbrowser.open", lambda *arguments: started.append(arguments))
    async with barn.run_test(size=(80, 24)):
        barn.open_url("file:///etc/passwd")
    assert not started


async def test_cut_text_stays_within_the_program(barn):
    async with barn.run_test(size=(80, 24)):
        written = []
        barn._driver.write = written.append
        barn.copy_to_clipboard("secret")
        assert barn.clipboard == "secret"
        assert not any("]52" in data for data in written)


async def test_text_that_carries_an_action_does_nothing_when_clicked(barn, tmp_path):
    async with barn.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: "Bunk scores" in text(barn), "the place")
        hostile = f"[@click=app.screenshot('x.svg','{tmp_path}')]Barley[/] [@click=app.quit]Oats[/]"
        await barn.place.body.mount(Static(hostile, id="hostile"))
        await pilot.click("#hostile", offset=(2, 0))
        await pilot.click("#hostile", offset=(8, 0))
        await pilot.pause()
        assert barn.is_running
        assert "Barley" in text(barn)
    assert not list(tmp_path.glob("*.svg"))


async def test_the_palette_does_not_open(barn):
    async with barn.run_test(size=(80, 24)) as pilot:
        await until(pilot, lambda: "Bunk scores" in text(barn), "the place")
        await pilot.press("ctrl+p", "ctrl+backslash", "ctrl+z")
        assert barn.place.ID == "today"
        assert list(barn.get_system_commands(barn.screen)) == []


def test_only_our_bindings_are_left_of_the_frameworks():
    inherited = {key for base in (App, Screen) for binding in base.BINDINGS for key in _keys(binding)}
    ours = {key for cls in (ShutDoor, Place) for key in cls._merge_bindings().key_to_bindings}
    assert ours & inherited <= {"tab", "shift+tab"}


def _keys(binding):
    return (binding.key if isinstance(binding, Binding) else binding[0]).split(",")


def test_actions_on_the_list_exist(barn):
    assert all(hasattr(barn, f"action_{name}") for name in APP_ACTIONS)
    bound = {binding.action.partition("(")[0] for binding in keys.app_bindings()}
    assert bound <= APP_ACTIONS


# -- the environment --


def framework_variables():
    """Names of environment variables read anywhere in the installed framework."""
    reading = re.compile(
        r"""(?:environ(?:\.get|\.pop)?[\[(]|getenv\(|get_environ\(|_get_environ_\w+\()\s*["']([A-Z_]+)["']"""
    )
    root = Path(textual.__file__).parent
    return {name for path in root.rglob("*.py") for name in reading.findall(path.read_text("utf-8"))}


def test_the_source_is_really_searched():
    assert {"TEXTUAL_DRIVER", "TEXTUAL_LOG", "TEXTUAL_ALLOW_SIGNALS", "NO_COLOR"} <= framework_variables()


@pytest.mark.parametrize("name", sorted(framework_variables()))
def test_every_variable_of_the_framework_is_dropped_unless_listed(name):
    environ = {name: "1"}
    environment.scrub(environ)
    assert (name in environ) is (name in environment.ALWAYS or name in environment.AT_HOME)
    assert not name.startswith("TEXTUAL") or name not in environ


@pytest.mark.parametrize(("name", "value", "stays"), [
    ("TERM", "xterm-256color", True),
    ("TERM", "x\x1b[2J", False),
    ("TERM", "a" * 41, False),
    ("COLORTERM", "truecolor", True),
    ("COLORTERM", "../../etc", False),
    ("LC_ALL", "de_DE.UTF-8", True),
    ("LC_ALL", "../evil", False),
    ("LC_ANYTHING", "x", False),
    ("BROWSER", "/bin/sh", False),
    ("PYTHONINSPECT", "1", False),
    ("PYTHONPATH", "/tmp", False),
    ("COLUMNS", "300", False),
    ("LESSOPEN", "|/bin/sh", False),
    ("HOME", "/home/anna", True),
    ("HERDBOOK_BOOK", "/srv/farm.herdbook", True),
])  # fmt: skip
def test_what_stays_of_the_environment(name, value, stays):
    environ = {name: value}
    dropped = environment.scrub(environ)
    assert (name in environ) is stays
    assert dropped == ([] if stays else [name])


def test_a_forced_login_sets_terminal_and_language_only():
    environ = {
        "TERM": "xterm",
        "LANG": "C.UTF-8",
        "HOME": "/tmp",
        "PATH": "/tmp",
        "HERDBOOK_BOOK": "/tmp/x",
        "XDG_DATA_HOME": "/t",
    }
    environment.scrub(environ, forced=True)
    assert environ == {"TERM": "xterm", "LANG": "C.UTF-8", "PATH": environment.FORCED_PATH}

"""What goes over the wire makes the same picture as what the framework draws, and carries nothing else."""

from __future__ import annotations

import pyte
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from herdbook.screens.wire import Sheet

COLUMNS, ROWS = 24, 6

PENS = [
    "0",
    "1",
    "1;38;5;253;48;5;233",
    "38;5;116;48;5;235",
    "7",
    "4;31",
    "9;38;5;247",
    "22",
    "39",
    "49",
    "97;41",
]
SIGNS = st.text(alphabet="abc 0123°─━▸●é漢字한", min_size=1, max_size=14)
PIECE = st.tuples(st.integers(1, ROWS), st.integers(1, COLUMNS), st.sampled_from(PENS), SIGNS)
FRAMES = st.lists(st.lists(PIECE, min_size=1, max_size=6), min_size=1, max_size=5)


def drawing(pieces: list[tuple[int, int, str, str]]) -> str:
    """A frame as the framework writes it: position, pen, text cut at the edge, pen put back."""
    made = []
    for row, column, pen, text in pieces:
        room, kept = COLUMNS - column + 1, ""
        for sign in text:
            width = 2 if sign in "漢字한" else 1
            if width > room:
                break
            kept, room = kept + sign, room - width
        made.append(f"\x1b[{row};{column}H\x1b[{pen}m{kept}\x1b[0m")
    return "".join(made)


def seen(screen: pyte.Screen) -> list[list[tuple[object, ...]]]:
    """What a person sees of a terminal: where there is no ink its colour and weight do not show."""
    rows = []
    for y in range(ROWS):
        row: list[tuple[object, ...]] = []
        for x in range(COLUMNS):
            cell = screen.buffer[y][x]
            drawn = cell.reverse or cell.underscore or cell.strikethrough
            blank = cell.data in (" ", "") and not drawn
            row.append((cell.data, cell.bg) if blank else tuple(cell))
        rows.append(row)
    return rows


def terminal() -> tuple[pyte.Screen, pyte.Stream]:
    screen = pyte.Screen(COLUMNS, ROWS)
    screen.reset_mode(pyte.modes.DECAWM)
    return screen, pyte.Stream(screen)


@settings(max_examples=150, deadline=None)
@given(frames=FRAMES)
def test_the_picture_is_the_same_cell_for_cell(frames):
    plainly, plain_stream = terminal()
    thriftily, thrifty_stream = terminal()
    sheet = Sheet(COLUMNS, ROWS)
    sheet.blank()
    for frame in frames:
        data = drawing(frame)
        plain_stream.feed(data)
        sheet.draw(data)
        thrifty_stream.feed(sheet.changes())
        # pyte leaves the other half of a wide sign that was cut in two; terminals blank it, and so do we.
        if not any(sign in "漢字한" for *_, text in frame for sign in text):
            clean = [cell for row in seen(plainly) for cell in row]
            if not any(cell[0] in ("", "漢", "字", "한") for cell in clean):
                assert seen(thriftily) == seen(plainly)


@settings(max_examples=100, deadline=None)
@given(frames=FRAMES)
def test_what_was_sent_piece_by_piece_looks_like_what_is_sent_whole(frames):
    by_pieces, stream = terminal()
    sheet = Sheet(COLUMNS, ROWS)
    sheet.blank()
    for frame in frames:
        sheet.draw(drawing(frame))
        stream.feed(sheet.changes())
    whole, whole_stream = terminal()
    sheet.forget()
    whole_stream.feed(sheet.changes())
    assert seen(by_pieces) == seen(whole)


def test_nothing_is_sent_when_nothing_changed():
    sheet = Sheet(20, 3)
    sheet.draw("\x1b[1;1H\x1b[1mready\x1b[0m")
    assert "ready" in sheet.changes()
    sheet.draw("\x1b[1;1H\x1b[1mready\x1b[0m")
    assert sheet.changes() == ""


def test_one_changed_digit_sends_one_digit():
    sheet = Sheet(20, 3)
    sheet.blank()
    sheet.draw("\x1b[2;1H\x1b[38;5;253;48;5;233mtank 47.7\x1b[0m")
    sheet.changes()
    sheet.draw("\x1b[2;1H\x1b[38;5;253;48;5;233mtank 47.6\x1b[0m")
    sent = sheet.changes()
    assert "6" in sent
    assert "tank" not in sent
    assert len(sent.encode()) < 20


HOSTILE = [
    pytest.param("\x1b]0;owned\x07", id="title"),
    pytest.param("\x1b]52;c;cHduZWQ=\x1b\\", id="clipboard"),
    pytest.param("\x9d52;c;cHduZWQ=\x9c", id="clipboard, 8-bit"),
    pytest.param("\x1b[2J", id="erase"),
    pytest.param("\x9b2J", id="erase, 8-bit"),
    pytest.param("\x1b[?1049l", id="main screen"),
    pytest.param("\x1bc", id="reset"),
    pytest.param("\x1bP+q544e\x1b\\", id="device control"),
    pytest.param("\x1b]8;;file:///etc\x1b\\here", id="link"),
    pytest.param("\u202egnp.exe", id="reading direction"),
    pytest.param("\x1b]0;never ended", id="unterminated"),
    pytest.param("\x07\x08\x0c\x7f", id="controls"),
]


@pytest.mark.parametrize("payload", HOSTILE)
def test_text_never_becomes_a_command(payload):
    sheet = Sheet(40, 3)
    sheet.blank()
    sheet.draw(f"\x1b[1;1H\x1b[1mBarley {payload}\x1b[0m\x1b[2;1Hnext row\x1b[0m")
    sent = sheet.changes()
    for piece in sent.split("\x1b")[1:]:
        assert piece.startswith("["), sent
        assert piece[1:].lstrip("0123456789;")[:1] in ("m", "H", "C"), sent
    assert not any(ord(sign) < 32 and sign != "\x1b" for sign in sent)
    assert not set(sent) & set("\x7f\x9b\x9c\x9d\u202e")
    assert "Barley" in sent
    assert "next row" in sent or "never ended" in payload

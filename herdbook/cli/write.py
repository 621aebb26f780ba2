"""`herdbook write`: any chore, its options made from what it asks, or fields from JSON; one entry each."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import click

from herdbook.book.writing import Book
from herdbook.chores.doing import Chore, Written, chores, find_chore
from herdbook.chores.drafting import ChoreDraft
from herdbook.chores.ground import Ground
from herdbook.cli.call import Call, complain, say, say_json
from herdbook.cli.fields import Texts, asked_before, draft_of, read_json, settings_before, texts_of
from herdbook.cli.lazy import LazyGroup
from herdbook.cli.who import as_who, person_at
from herdbook.errors import HerdbookError, Refused
from herdbook.reports.fields_in_words import help_line, how_typed

ELSEWHERE = ("start",)
"""Chores with a command of their own that cannot be done in a book that exists."""

SETTINGS = "farm"

REQUEST = re.compile(r"[A-Za-z0-9._:-]{1,60}")


class Chores(LazyGroup):
    """One command for each chore; the others are not made for the one that is asked for."""

    def lines(self) -> Mapping[str, str]:
        return {name: one.title for name, one in chores().items() if name not in ELSEWHERE}

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        try:
            return None if cmd_name in ELSEWHERE else _command(find_chore(cmd_name))
        except Refused:
            return None


@click.group(cls=Chores, no_args_is_help=True)
def write() -> None:
    """Write a chore in the book: one entry, whole or not at all.

    `herdbook write CHORE --help` lists its fields. Weights and temperatures without a unit are in the farm's own.
    """


def request_option() -> click.Option:
    """The option that makes a retry safe."""
    return click.Option(
        ["--request"],
        default="",
        metavar="KEY",
        help="a key of your own: the same one again writes nothing twice",
    )


def form_option() -> click.Option:
    """The option that chooses words or JSON for what was written."""
    return click.Option(
        ["--as", "form"],
        type=click.Choice(("text", "json")),
        default="text",
        help="how to say what was written",
    )


def field_options(chore: Chore) -> list[click.Parameter]:
    """An option for each field; a repeated one is given again for each line."""
    return [
        click.Option(
            [f"--{name.replace('_', '-')}", name],
            multiple=True,
            metavar=how_typed(ask),
            help=help_line(ask, required=chore.draft.required(name)),
        )
        for name, ask in chore.draft.asks().items()
    ]


def _command(chore: Chore) -> click.Command:
    parameters = [
        *field_options(chore),
        click.Option(
            ["--json"], default="", metavar="FILE|-", help="fields from JSON: an object, or a list of them"
        ),
        click.Option(
            ["--corrects"],
            type=click.IntRange(1, 10**12),
            metavar="ENTRY",
            help="strike that entry and write this in its place",
        ),
        click.Option(["--note"], default="", metavar="TEXT", help="free words for the entry"),
        request_option(),
        form_option(),
    ]

    @click.pass_obj
    def run(
        call: Call,
        /,
        json: str,
        corrects: int | None,
        note: str,
        request: str,
        form: str,
        **given: tuple[str, ...],
    ) -> int:
        typed = {name: texts for name, texts in given.items() if texts}
        return _run(call, chore, typed, json, Options(corrects, note, check_request(request)), form)

    title = f"{chore.title[:1].upper()}{chore.title[1:]}."
    return click.Command(
        chore.name, params=parameters, callback=run, help=f"Write {chore.title}.", short_help=title
    )


class Options:
    """What goes with an entry beside its fields: the entry it corrects, a note, the key of the request."""

    def __init__(self, corrects: int | None = None, note: str = "", request: str = "") -> None:
        self.corrects, self.note, self.request = corrects, note, request

    def of_item(self, place: int) -> Options:
        """The options of one item of a list, with a request key of its own."""
        return Options(self.corrects, self.note, f"{self.request}:{place}" if self.request else "")


def check_request(request: str) -> str:
    """The key of a request, if it is one.

    Raises:
        Refused: it is too long or has other letters.
    """
    if request and not REQUEST.fullmatch(request):
        raise Refused(
            "--request: that is not a key.",
            remedy="Use up to 60 letters, digits, dots, colons and hyphens.",
            field="request",
        )
    return request


def _run(call: Call, chore: Chore, typed: Texts, json: str, options: Options, form: str) -> int:
    if json and typed:
        raise Refused(
            "--json: fields come from JSON or as options, not both.", remedy="Choose one.", field="json"
        )
    if not json:
        written = write_one(call, chore, typed, options)
        say_json(as_json(chore, written)) if form == "json" else _say(written)
        return 0
    items, listed = read_json(json)
    if listed and options.corrects is not None:
        raise Refused(
            "--corrects: one entry is corrected by one.", remedy="Give one object.", field="corrects"
        )
    return _write_items(call, chore, items, listed, options, form)


def _write_items(
    call: Call, chore: Chore, items: list[dict[str, Any]], listed: bool, options: Options, form: str
) -> int:
    """Each item in a transaction of its own, in order; one that is refused ends it, and what was written is told."""
    done: list[Written] = []
    status = 0
    for place, item in enumerate(items, start=1):
        try:
            done.append(write_one(call, chore, item, options.of_item(place) if listed else options))
        except HerdbookError as error:
            if not listed:
                raise
            status = error.exit_status
            numbers = ", ".join(str(written.entry) for written in done) or "none"
            complain(
                f"Item {place} of {len(items)} was not written: {error}",
                f"Written before it: {numbers}. Not tried after it: {len(items) - place}.",
            )
            break
        if form == "text":
            _say(done[-1])
    if form == "json":
        made = [as_json(chore, written) for written in done]
        say_json(made if listed else made[0])
    return status


def write_one(call: Call, chore: Chore, given: Mapping[str, Any], options: Options) -> Written:
    """Understand the fields and write one entry.

    Args:
        call: the book, the person and the clock.
        chore: the chore.
        given: field -> typed text, several of them, or values out of JSON.
        options: what goes with the entry.

    Raises:
        HerdbookError: refused; nothing was written.
    """
    with call.reading() as (connection, ground):
        person = person_at(call, connection)
        before = _before(connection, chore, options.corrects)
        texts = texts_of({name: _unpacked(value) for name, value in given.items()}, ground)
        draft = draft_of(chore, texts, ground, before)
    book = Book(call.path, waiting=lambda: complain("Someone else is writing in the book; waiting ..."))
    try:
        written = chore(
            book,
            draft,
            by=as_who(person),
            now=call.clock,
            request=options.request,
            corrects=options.corrects,
            note=options.note,
        )
    finally:
        book.close()
    _doubt(draft, ground, written)
    return written


def _before(connection: Any, chore: Chore, corrects: int | None) -> dict[str, Any] | None:
    """What fields that are not given start from: the corrected entry; for the farm's settings, those that stand."""
    if corrects is not None:
        return asked_before(connection, chore, corrects)
    return settings_before(connection) if chore.name == SETTINGS else None


def _unpacked(value: Any) -> Any:
    """Options come as tuples: one text alone is given as it is, so that it can be refused by the field it is for."""
    if not isinstance(value, tuple):
        return value
    return value[0] if len(value) == 1 else list(value)


def _doubt(draft: ChoreDraft, ground: Ground, written: Written) -> None:
    for name, ask in draft.asks().items():
        value = getattr(draft, name)
        if value is not None and not written.again and (words := ask.doubt(value, ground)):
            complain(
                f"{ask.label}: {words} It was written; correct it with --corrects {written.entry} if it is wrong."
            )


def _say(written: Written) -> None:
    say(written.said)
    say(f"entry {written.entry}")


def as_json(chore: Chore, written: Written) -> dict[str, Any]:
    """What was written, as JSON."""
    return {"chore": chore.name, "entry": written.entry, "said": written.said, "again": written.again}

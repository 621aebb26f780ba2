"""A report's rows as cards to print: each row its own block of labelled lines, in text or as one HTML file."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape
from textwrap import wrap

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.figures import Column, Figure, Line, Report, Table
from herdbook.reports.loads_on_paper import STYLE
from herdbook.reports.showing import flagged, shown

WIDTH, LABEL = 80, 20


def page(title: str, body: Sequence[str], *, style: str = "") -> str:
    """One HTML file with nothing beside it; what stands in `body` is escaped already."""
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f"<title>{escape(plain(title))}</title>\n<style>\n{STYLE}\n{style}</style>\n</head>\n<body>\n"
        + "\n".join(body)
        + "\n</body>\n</html>\n"
    )


def as_text(report: Report, table: Table, ground: Ground, *, head: str, foot: str) -> str:
    """The table's rows as cards of 80 columns."""
    lines = [plain(report.title).upper(), *wrap(head, WIDTH), ""]
    for line in table.lines:
        lines += ["-" * WIDTH]
        for label, value in _said(table.columns, line, ground):
            first, *rest = wrap(value, WIDTH - LABEL) or [""]
            lines += [f"{label:{LABEL}}{first}", *(" " * LABEL + more for more in rest)]
    lines += [table.nothing] if not table.lines else ["-" * WIDTH]
    return "\n".join([*lines, "", *wrap(foot, WIDTH)]) + "\n"


def as_html(report: Report, table: Table, ground: Ground, *, head: str, foot: str) -> str:
    """The table's rows as cards, one HTML file; everything people wrote is escaped."""
    body = [f"<h1>{escape(plain(report.title))}</h1>", f"<p>{escape(head)}</p>"]
    body += [] if table.lines else [f"<p>{escape(table.nothing)}</p>"]
    for line in table.lines:
        rows = "\n".join(
            f"<tr><th>{escape(label)}</th><td>{escape(value)}</td></tr>"
            for label, value in _said(table.columns, line, ground)
        )
        body.append(f"<section>\n<table>\n{rows}\n</table>\n</section>")
    return page(report.title, [*body, f"<p>{escape(foot)}</p>"], style="th { width: 12em; }\n")


def _said(columns: Sequence[Column], line: Line, ground: Ground) -> Iterator[tuple[str, str]]:
    """Label and value of each field; one that is empty is shown so, a blank may be filled in by hand."""
    for column in columns:
        figure = line[column.key]
        yield column.label.partition(",")[0], value_on_paper(figure, column, ground)


def value_on_paper(figure: Figure, column: Column, ground: Ground, *, empty: str = "__________") -> str:
    """A figure's value with the year in its times: paper outlives the year."""
    if figure.value in (None, ""):
        return empty
    if column.unit == "time" and isinstance(figure.value, int):
        return f"{ground.clock.local(figure.value):%Y-%m-%d %H:%M}"
    return flagged(figure, shown(figure, column, ground, with_unit=True))

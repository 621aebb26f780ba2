"""The temperature record as one HTML file for the inspector: drawing, gaps, milkings, and every reading."""

from __future__ import annotations

from html import escape

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.cards_on_paper import page, value_on_paper
from herdbook.reports.figures import Report, Table
from herdbook.reports.showing import heading
from herdbook.reports.temperature_svg import as_svg

STYLE = "svg { width: 100%; height: auto; }\ntd, th { padding: .1em .4em; font-size: .85em; }\n"


def as_html(report: Report, ground: Ground, *, head: str) -> str:
    """The record; what people wrote is escaped."""
    facts = ", ".join(
        f"{report.columns[key].label.lower()} {value_on_paper(figure, report.columns[key], ground)}"
        for key, figure in report.facts.items()
        if key != "tank"
    )
    body = [
        f"<h1>{escape(plain(report.title))}</h1>",
        f"<p>{escape(head)}</p>",
        *(f'<p class="note">{escape(plain(words))}</p>' for words in report.warnings),
        as_svg(report.data, ground),
        "<p>Line and dots: readings that stand. Crossed circles: struck or corrected readings. Grey: no reading. "
        "Black at the foot: milking. Dotted upright: milk out.</p>",
        f"<p>{escape(facts)}.</p>",
        *(_table(report.table(key), ground) for key in ("gaps", "events", "readings")),
    ]
    return page(report.title, body, style=STYLE)


def _table(table: Table, ground: Ground) -> str:
    head = "".join(f"<th>{escape(heading(column, ground.units))}</th>" for column in table.columns)
    rows = "\n".join(
        "<tr>"
        + "".join(
            f"<td>{escape(value_on_paper(line[column.key], column, ground, empty=''))}</td>"
            for column in table.columns
        )
        + "</tr>"
        for line in table.lines
    )
    nothing = "" if table.lines else f"<p>{escape(table.nothing)}</p>"
    grid = f"<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody>\n</table>"
    return f"<section>\n<h2>{escape(table.title)}</h2>\n{nothing}{grid}\n</section>"

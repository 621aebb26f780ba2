"""How a ration that is tried is drawn: feeds, sums, figures against their limits, what was changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rich.cells import cell_len
from rich.text import Text

from herdbook.chores.ground import Ground
from herdbook.plain import plain
from herdbook.reports.showing import in_farm_units, unit_word
from herdbook.screens.parts.bullet_bar import Side, bullet, verdict_of
from herdbook.screens.parts.lines import pieces
from herdbook.screens.parts.rows_table import Column, Row, RowsTable
from herdbook.screens.parts.signs import SignSet

if TYPE_CHECKING:
    from herdbook.reports.tried import Change, Item, TriedFigure, TriedRow
    from herdbook.reports.what_if import WhatIf
    from herdbook.screens.ration_intake import Eater
    from herdbook.screens.ration_offer import Offer

WHOLE = "all"
"""Key of the row with the sums; it is no feed."""
KG_A_TONNE = 1000
MILLION = 1_000_000
UNIT_LABELS = ("%", "mg/kg")
"""Units that stand behind a figure's name; the others' names say it, or there is no room."""


class FocusedTable(RowsTable):
    """A table whose chosen row stands out only while it has the cursor."""

    def paint(self, width: int, height: int) -> Sequence[Text]:
        self._marked = self.has_focus
        return super().paint(width, height)

    def on_focus(self) -> None:
        """Show the chosen row."""
        self.freshen()

    def on_blur(self) -> None:
        """Show none."""
        self.freshen()


class FollowingTable(RowsTable):
    """A table moved by a field elsewhere; its chosen row stands out only while keys go there.

    Args:
        has_keys: whether they do.
        words: as of `RowsTable`.
    """

    def __init__(self, columns: Sequence[Column], has_keys: Callable[[], bool], **words: Any) -> None:
        super().__init__(columns, follows=True, **words)
        self._has_keys = has_keys

    def paint(self, width: int, height: int) -> Sequence[Text]:
        self._marked = self._has_keys()
        return super().paint(width, height)


@dataclass(frozen=True, slots=True)
class FiguresLook:
    """How the figures are laid out: name, value, bar, verdict."""

    name_cells: int
    value_cells: int
    bar_cells: int
    verdict_cells: int
    short: bool = False

    @property
    def columns(self) -> list[Column]:
        """The columns; their titles are not shown."""
        return [
            Column("", self.name_cells, grows=True),
            Column("", self.value_cells, align="right"),
            Column("", self.bar_cells),
            Column("", self.verdict_cells),
        ]


HOME = FiguresLook(10, 6, 11, 6)
WIDE = FiguresLook(14, 7, 20, 6)
NARROW = FiguresLook(10, 5, 9, 2, short=True)


def feed_columns(unit: str) -> list[Column]:
    """The feeds' columns; amounts a head in the farm's unit."""
    return [
        Column("Feed", 11, grows=True),
        Column("As fed", 6, align="right"),
        Column("DM %", 5, align="right", from_width=31, role="dust"),
        Column(f"DM {unit}", 5, align="right"),
        Column("Cost", 5, align="right", from_width=44, role="dust"),
    ]


def offer_columns() -> list[Column]:
    """The columns of a suggestion's lines."""
    return [
        Column("Feed", 8, grows=True),
        Column("Now", 5, align="right"),
        Column("To", 5, align="right"),
        Column("", 3),
        Column("Cost", 5, align="right", from_width=31),
    ]


class RationDrawing:
    """Draws one ration; holds the farm's units and the signs, so that they are given once.

    Args:
        ground: the farm's units.
        signs: the signs of the terminal.
        look: how the figures are laid out.
    """

    def __init__(self, ground: Ground, signs: SignSet, look: FiguresLook) -> None:
        self.ground, self.signs, self.look = ground, signs, look

    def weight(self, kg: float, decimals: int = 2) -> str:
        """Kilograms in the farm's unit, without it."""
        return self.ground.units.number(in_farm_units(kg, "kg", self.ground.units), decimals)

    def money(self, cents: float) -> str:
        """Cents in the farm's currency, with their sign where it is below nothing."""
        sign = "−" if cents < -0.5 else ""
        return f"{sign}{self.ground.units.money(abs(cents))}"

    def moved(self, cents: float) -> str:
        """A change of cost, always with its sign."""
        amount = self.ground.units.number(abs(cents) / 100, 2)
        return (
            amount
            if float(amount.replace(self.ground.units.decimal, ".")) == 0
            else f"{'−' if cents < 0 else '+'}{amount}"
        )

    # -- feeds --

    def feed_rows(self, tried: WhatIf) -> list[Row]:
        """Every feed, and the sums under them."""
        rows = [self._feed_row(row, tried) for row in tried.rows()]
        return [*rows, self._whole(tried)] if rows else []

    def _feed_row(self, row: TriedRow, tried: WhatIf) -> Row:
        dry_ppm = tried.feeds[row.feed].dry_ppm
        held = (self.signs.limit, "ice") if row.is_locked else ""
        changed = row.in_use_as_fed_kg is None or row.as_fed_kg != row.in_use_as_fed_kg
        fed = Text(self.weight(row.as_fed_kg), "hay" if changed else "")
        cells: list[Text | str] = [
            pieces(held, plain(row.name)),
            fed,
            "–" if dry_ppm is None else self.ground.units.number(dry_ppm / 10_000, 1),
            self.weight(row.dry_kg),
            "–" if row.cost_cents is None else self.ground.units.number(row.cost_cents / 100, 2),
        ]
        return Row(str(row.feed), cells)

    def _whole(self, tried: WhatIf) -> Row:
        sums = tried.totals()
        cents, _, unpriced = tried.cost_cents()
        share = None if sums.dry_share is None else 100 * sums.dry_share
        cells = [
            self.weight(sums.as_fed_kg),
            self.ground.units.number(share, 1),
            self.weight(sums.dry_kg),
            f"{'?' if unpriced else ''}{self.ground.units.number(cents / 100, 2)}",
        ]
        return Row(WHOLE, [Text("A head a day", "dust"), *(Text(cell, "bold") for cell in cells)])

    def sums(self, tried: WhatIf, eaters: Sequence[Eater] = ()) -> list[Text]:
        """Cost and dry matter, beside them those of the version in use where they differ; and what cows may eat.

        Where nothing is known of the cows, the share of forage stands in the third line.
        """
        now = tried.totals()
        cents, before_cents, unpriced = tried.cost_cents()
        unit, units = self.ground.units.load, self.ground.units
        before_dry = sum(row.in_use_dry_kg or 0.0 for row in tried.rows())
        forage = None if now.forage_share is None else 100 * now.forage_share

        def line(label: str, words: str, was: str, mark: str = "") -> Text:
            beside = f"  in use {was}" if was != words else ""
            return pieces(f"   {label:<12}", (words, "bold"), (mark, "hay"), (beside, "dust"))

        dry, was_dry = f"{self.weight(now.dry_kg)} {unit}", f"{self.weight(before_dry)} {unit}"
        share = f"{units.number(forage, 1)} %"
        mark = " ?" if unpriced else ""
        third = self._predicted(tried, eaters) or line("Forage", share, share)
        return [
            line("Feed cost", units.money(cents), units.money(before_cents), mark),
            line("Dry matter", dry, was_dry),
            third,
        ]

    def _predicted(self, tried: WhatIf, eaters: Sequence[Eater]) -> Text | None:
        """The span of the predictions that have their inputs; how far off them the ration is, where it is far."""
        from herdbook.screens.ration_intake import OFF_KG, off_kg, predicted, span_words

        found = predicted(eaters, tried)
        if not found:
            return None
        off = off_kg(found, tried.totals().dry_kg)
        side = "+" if off > 0 else "−"
        words = f"  {self.signs.look} {side}{self.weight(abs(off), 1)}" if abs(off) > OFF_KG else ""
        return pieces(f"   {'Predicted':<12}", (span_words(found, self.ground), "bold"), (words, "warn"))

    # -- figures --

    def figure_rows(self, tried: WhatIf) -> list[Row]:
        """Every figure: the dot is the ration as tried, the ring the one it is compared with."""
        compared = tried.is_changed
        return [self._figure_row(one, compared) for one in tried.figures()]

    def _figure_row(self, one: TriedFigure, compared: bool) -> Row:
        of = one.of
        places = of.decimals + 2  # what is right at a limit is inside it, as its verdict says

        def rounded(value: float | None) -> float | None:
            return None if value is None else round(value, places)

        judged = (one.low, one.aim, one.high) != (None, None, None)
        cells: list[Text | str] = [self._name(of.label, of.unit), self._value(one)]
        if judged:
            ring = rounded(one.in_use) if compared else None
            bar = bullet(
                rounded(one.value), rounded(one.low), rounded(one.aim), rounded(one.high),
                ring=ring, cells=self.look.bar_cells, signs=self.signs,
            )  # fmt: skip
            sides: dict[str, Side] = {"low": "low", "high": "high", "no value": "unknown"}
            side = sides.get(one.verdict, "ok")
            cells += [bar.track, verdict_of(side, self.signs, short=self.look.short)]
        else:
            cells += [Text(), Text()]
        return Row(of.key, cells)

    def _name(self, label: str, unit: str) -> Text:
        return pieces(label, (f" {unit}" if unit in UNIT_LABELS else "", "dust"))

    def _value(self, one: TriedFigure) -> Text:
        if one.value is None:
            words = "–"
        else:
            words = self.ground.units.number(
                in_farm_units(one.value, one.of.unit, self.ground.units), one.of.decimals
            )
        return pieces(words, ("?", "hay") if one.unknown_share > 1e-9 and one.value is not None else "")

    # -- what was changed --

    def change_lines(self, tried: WhatIf, width: int) -> list[Text]:
        """What differs from the version in use, feed by feed, as many to a line as fit."""
        lines: list[str] = []
        for told in (self._change(change) for change in tried.changes()):
            if lines and cell_len(lines[-1]) + cell_len(told) + 6 <= width:
                lines[-1] = f"{lines[-1]}; {told}"
            else:
                lines.append(told)
        return [Text(f"   {line}") for line in lines]

    def _change(self, change: Change) -> str:
        unit = self.ground.units.load

        def said(item: Item | None) -> str:
            if item is None:
                return "0"
            dry = " dm" if item.basis == "dry matter" else ""
            return f"{self.weight(item.mg / MILLION)}{dry}"

        return f"{plain(change.name)} {said(change.before)} {self.signs.reads} {said(change.after)} {unit}"

    def off_words(self, tried: WhatIf) -> list[str]:
        """The figures outside their targets, each with what it is and the limit it passed."""
        found = []
        for one in tried.figures():
            if one.verdict not in ("low", "high"):
                continue
            bound = one.low if one.verdict == "low" else one.high
            value, limit = self._told_apart(one, one.value or 0.0, bound or 0.0)
            unit = unit_word(one.of.unit, self.ground.units)
            side = "under" if one.verdict == "low" else "over"
            found.append(f"{one.of.label} {value} is {side} {limit} {unit}".rstrip())
        return found

    def _told_apart(self, one: TriedFigure, value: float, limit: float) -> tuple[str, str]:
        """A value and the limit it passed, with a decimal more where they would read the same."""
        numbers = [in_farm_units(number, one.of.unit, self.ground.units) for number in (value, limit)]
        for decimals in range(one.of.decimals, one.of.decimals + 3):
            shown, bound = (self.ground.units.number(number, decimals) for number in numbers)
            if shown != bound:
                break
        return shown, bound

    # -- a suggestion --

    def offer_rows(self, offer: Offer) -> list[Row]:
        """The suggestion's lines: now, suggested, taken or not, and what it changes the cost by."""
        rows = []
        for line in offer.lines:
            cents = offer.cost_cents(line)
            taken = offer.taken[line.feed]
            rows.append(
                Row(
                    str(line.feed),
                    [
                        plain(line.name),
                        pieces((self.weight(offer.as_fed_kg(line, line.before_mg)), "dust")),
                        Text(self.weight(offer.as_fed_kg(line, line.after_mg)), "hay"),
                        Text("[x]" if taken else "[ ]", "clover" if taken else ""),
                        "–" if cents is None else self.moved(cents),
                    ],
                )
            )
        return rows

    def offer_sums(self, offer: Offer) -> list[Text]:
        """What the lines taken change, for a cow and for all that get the ration; and all lines."""
        heads = offer.suggested.question.programme.heads
        count = sum(offer.taken.values())

        def line(words: str, cents: float) -> Text:
            herd = "" if heads is None else f", herd {self._signed(cents * heads)}"
            return pieces(f"   {words:<13}", (self._signed(cents), "bold"), herd)

        if self.look.short:  # a line is all there is room for
            taken = f"   Taken {count} of {len(offer.lines)}  "
            return [pieces(taken, (self._signed(offer.costs_cents()), "bold"))]
        return [
            line(f"Taken {count} of {len(offer.lines)}", offer.costs_cents()),
            line(f"All {len(offer.lines)}", offer.costs_cents(all_lines=True)),
            Text(f"   Ring {self.signs.ring} now, dot {self.signs.now} with them", "dust"),
        ]

    def _signed(self, cents: float) -> str:
        return f"{'−' if cents < 0 else '+'}{self.ground.units.money(abs(cents))}"

"""What the cows of a pen need by each edition of the books of requirements, beside what a ration supplies."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from herdbook.errors import Refused
from herdbook.reports.pen_known import Pen, intake_predictions, known_of, share_of
from herdbook.science.minerals import absorption_coefficients
from herdbook.science.nutrients import nutrients
from herdbook.science.ration import FORAGE, Part, Totals
from herdbook.science.registry import Rule, numbers, rule

NRC, NASEM = "NRC 2001", "NASEM 2021"
LACTOSE_ASSUMED = 4.85
"""Per cent of milk; the book keeps no lactose. The one that data behind a printed table lead to (Erickson 2023)."""
CALF_ASSUMED_KG = 45.0
"""The birth weight that the pregnancy equations of NRC 2001 are scaled to."""
MINERAL_KINDS = ("mineral", "premix")
CONCENTRATE, MINERAL_SOURCE = "concentrate", "mineral source"
ENERGY_NOT_COMPARED = (
    "energies in the analyses are as the laboratory reports them, of no known edition: no balance"
)
BREED_ASSUMED = "Holstein"


@dataclass(frozen=True, slots=True)
class Need:
    """One thing that is needed, and what the ration supplies of it.

    Args:
        key: what it is, such as "nel" or "ca".
        label: in words.
        edition: of the requirement.
        unit: of all amounts.
        rule: the rule that made it.
        needed: a head and day; none when something it takes is not known.
        low, high: what the ration supplies, as a span where the source gives one; none where it cannot be told.
        inputs: what went into the need.
        missing: what is not known, in words.
        cautions: values outside the range a rule holds for, and what was assumed.
    """

    key: str
    label: str
    edition: str
    unit: str
    rule: str
    needed: float | None
    low: float | None = None
    high: float | None = None
    inputs: Mapping[str, Any] = field(default_factory=dict)
    missing: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def needs(pen: Pen, parts: Sequence[Part], sums: Totals) -> tuple[Need, ...]:
    """Everything the rules here can say of what the cows need, edition by edition, at the ration's dry matter.

    Args:
        pen: what is known of the cows.
        parts: the ration, a head and day.
        sums: its totals.
    """
    if pen.state == "heifer":
        return ()
    makers: Sequence[Callable[[Pen, Sequence[Part], Totals], Iterator[Need]]] = (
        (_energy, _protein, _minerals, _vitamins)
        if pen.state == "lactating"
        else (_energy_dry, _calcium_dry, _vitamins)
    )
    found = [need for maker in makers for need in maker(pen, parts, sums)]
    return tuple(sorted(found, key=lambda need: need.edition != NRC))  # sorted is stable: editions stay apart


class _Asked:
    """One rule asked with what is known: its value, or what it would need."""

    def __init__(self, key: str, pen: Pen, **more: float | str | None) -> None:
        self.rule: Rule = rule(key)
        known: dict[str, Any] = {name: getattr(pen, name, None) for name in self.rule.arguments}
        self.inputs = {name: value for name, value in (known | more).items() if name in self.rule.arguments}
        self.missing = tuple(
            self.rule.arguments[name].meaning
            for name, value in self.inputs.items()
            if value is None and name not in self.rule.optional
        )
        self.values: Mapping[str, float] = {}
        self.cautions: tuple[str, ...] = ()
        if not self.missing:
            try:
                computed = self.rule.compute(**self.inputs)
                self.values, self.cautions = numbers(computed.value), computed.warnings
            except Refused as refused:
                self.missing = (refused.message,)

    def get(self, name: str = "value") -> float | None:
        return self.values.get(name)

    def need(self, key: str, label: str, edition: str, unit: str, **more: Any) -> Need:
        """The need it makes; `of` names the field of a rule with several results."""
        value = more.pop("needed", self.get(more.pop("of", "value")))
        cautions = (*self.cautions, *more.pop("cautions", ()))
        memory = ("recalled, its source was not read again",) if self.rule.from_memory else ()
        return Need(
            key, label, edition, unit, self.rule.key, value, inputs=_told(self.inputs), missing=self.missing,
            cautions=(*cautions, *memory), **more,
        )  # fmt: skip


def _told(inputs: Mapping[str, Any]) -> dict[str, Any]:
    return {
        name.replace("_", " "): f"{value:.6g}" if isinstance(value, int | float) else value or "not known"
        for name, value in inputs.items()
    }


def _reported(sums: Totals, key: str, factor: float = 1.0) -> dict[str, Any]:
    total = sums.nutrients.get(key)
    if total is None or total.share is None:
        return {}
    return {"low": total.amount * factor, "high": total.amount * factor}


def _energy(pen: Pen, parts: Sequence[Part], sums: Totals) -> Iterator[Need]:
    """Maintenance and milk, and pregnancy where the equation covers the day."""
    kept = _Asked("nel-maintenance-2001", pen)
    in_milk = _Asked("nel-milk-fat-true-protein-2001", pen)
    if in_milk.missing and pen.fat is not None:
        in_milk = _Asked("nel-milk-fat-2001", pen)
    carried, carried_said = _pregnancy(pen, "nel-pregnancy-2001")
    per_kg, milk = in_milk.get(), pen.milk
    base = kept.get()
    value = None if base is None or per_kg is None or milk is None else base + milk * per_kg + carried
    missing = dict.fromkeys((*kept.missing, *in_milk.missing, *(() if milk is not None else ("milk yield",))))
    yield Need(
        "nel", "Net energy for maintenance, milk and pregnancy", NRC, "Mcal", "nel-lactating-2001", value,
        **_reported(sums, "nel"),
        inputs=_told({
            "maintenance": base, "milk": milk, "a kilogram of milk": per_kg, "milk energy by": in_milk.rule.key,
            "pregnancy": carried,
        }),
        missing=tuple(missing),
        cautions=(*kept.cautions, *in_milk.cautions, *carried_said, ENERGY_NOT_COMPARED),
    )  # fmt: skip
    later = _Asked("nel-lactating-2021", pen, lactose=LACTOSE_ASSUMED)
    assumed = (f"lactose taken as {LACTOSE_ASSUMED:g} %", "without pregnancy", ENERGY_NOT_COMPARED)
    yield later.need(
        "nel",
        "Net energy for maintenance and milk",
        NASEM,
        "Mcal",
        cautions=assumed,
        **_reported(sums, "nel"),
    )


def _pregnancy(pen: Pen, key: str) -> tuple[float, tuple[str, ...]]:
    """What pregnancy takes, nothing before day 190 or where the days are not known."""
    if pen.days_pregnant is None or pen.days_pregnant < 190:
        return 0.0, ()
    asked = _Asked(key, pen, birth_weight=CALF_ASSUMED_KG)
    if asked.get() is None:
        return 0.0, (f"without pregnancy: {', '.join(asked.missing)}",)
    return asked.get() or 0.0, (*asked.cautions, f"calf taken as {CALF_ASSUMED_KG:g} kg at birth")


def _energy_dry(pen: Pen, parts: Sequence[Part], sums: Totals) -> Iterator[Need]:
    kept = _Asked("nel-maintenance-2001", pen)
    carried, said = _pregnancy(pen, "nel-pregnancy-2001")
    base = kept.get()
    days = () if pen.days_pregnant is not None else ("days pregnant not known: without pregnancy",)
    yield kept.need(
        "nel", "Net energy for maintenance and pregnancy", NRC, "Mcal",
        needed=None if base is None else base + carried,
        cautions=(*said, *days, ENERGY_NOT_COMPARED), **_reported(sums, "nel"),
    )  # fmt: skip
    yield _Asked("nel-maintenance-2021", pen).need(
        "nel", "Net energy for maintenance", NASEM, "Mcal",
        cautions=("without pregnancy", ENERGY_NOT_COMPARED), **_reported(sums, "nel"),
    )  # fmt: skip


def _protein(pen: Pen, parts: Sequence[Part], sums: Totals) -> Iterator[Need]:
    """Metabolizable protein; what the feeds supply only where laboratories reported it."""
    microbial, why = _microbial(pen, sums)
    supplied = _reported(sums, "mp")
    older = _Asked("mp-lactating-2001", pen, intake=sums.dry_kg or None, microbial_mp=microbial)
    carried, carried_said = _pregnancy(pen, "mp-pregnancy-2001")
    total = older.get("total")
    yield older.need(
        "mp", "Metabolizable protein", NRC, "g", needed=None if total is None else total + carried,
        cautions=(*why, *carried_said), **supplied,
    )  # fmt: skip
    later = _Asked("mp-lactating-2021", pen, intake=sums.dry_kg or None, ndf=share_of(sums, "ndf"))
    yield later.need("mp", "Metabolizable protein to aim at", NASEM, "g", of="total", **supplied)


def _microbial(pen: Pen, sums: Totals) -> tuple[float | None, tuple[str, ...]]:
    """Metabolizable protein from microbes, from reported TDN (discounted) and degraded protein of all the feeds."""
    tdn, rdp = sums.nutrients.get("tdn"), sums.nutrients.get("rdp")
    if tdn is None or rdp is None or tdn.share is None:
        return None, ("needs TDN and degraded protein of the feeds",)
    if max(tdn.unknown_share, rdp.unknown_share) > 0.05:
        return None, ("TDN or degraded protein is not determined in more than 5 % of the dry matter",)
    kept = _Asked("nel-maintenance-2001", pen).get()
    nel = _Asked("nel-milk-fat-2001", pen).get()
    if kept is None or nel is None or pen.milk is None:
        return None, ()
    level = (kept + nel * pen.milk) / kept
    factor = _Asked("discount-2001", pen, diet_tdn=tdn.share, level=level).get()
    made = _Asked(
        "microbial-protein-2001", pen, tdn_eaten=tdn.amount * (factor or 1.0), rdp_eaten=rdp.amount * 1000
    ).get()
    return _Asked("mp-microbial-2001", pen, microbial_protein=made).get(), ()


MINERALS = (
    ("ca", "Calcium", "g", 1000.0), ("p", "Phosphorus", "g", 1000.0), ("mg", "Magnesium", "g", 1000.0),
    ("k", "Potassium", "g", 1000.0), ("na", "Sodium", "g", 1000.0), ("cl", "Chloride", "g", 1000.0),
    ("cu", "Copper", "mg", 1.0), ("zn", "Zinc", "mg", 1.0), ("mn", "Manganese", "mg", 1.0), ("fe", "Iron", "mg", 1.0),
)  # fmt: skip
"""Nutrient, its name, unit of the need, and how many of those the nutrient's amount unit (kg or mg) holds."""


def _minerals(pen: Pen, parts: Sequence[Part], sums: Totals) -> Iterator[Need]:
    """Absorbed minerals, both editions, beside what the feeds let through by the same edition's coefficients."""
    for key, edition, more, assumed in (
        ("minerals-absorbed-2001", NRC, {"breed": BREED_ASSUMED}, (f"breed taken as {BREED_ASSUMED}",)),
        ("minerals-absorbed-2021", NASEM, {}, ()),
    ):
        asked = _Asked(key, pen, intake=sums.dry_kg or None, **more)
        for mineral, name, unit, size in MINERALS:
            low, high, gaps = absorbed(mineral, edition, parts, size)
            cautions = assumed if mineral == "ca" else ()
            yield asked.need(
                mineral, f"{name} absorbed", edition, unit, of=mineral, low=low, high=high,
                cautions=(*cautions, *gaps),
            )  # fmt: skip
    for key, edition in (("iodine-2001", NRC), ("iodine-2021", NASEM)):
        yield _Asked(key, pen).need("i", "Iodine fed", edition, "mg", **_reported(sums, "i"))


def absorbed(
    mineral: str, edition: str, parts: Sequence[Part], size: float = 1.0
) -> tuple[float | None, float | None, tuple[str, ...]]:
    """What a ration lets through of a mineral, as a span where the edition gives one.

    Args:
        mineral: nutrient key.
        edition: "NRC 2001" or "NASEM 2021".
        parts: the ration.
        size: how many of the wanted unit one of the nutrient's amount unit holds.

    Returns:
        Least and most absorbed, and in words what could not be counted; no amounts when nothing could.
    """
    known = {one.feed: one for one in absorption_coefficients(edition).get(mineral, ())}
    low = high = 0.0
    counted, untold, gaps = False, False, []
    for part in parts:
        figure = part.nutrients.get(mineral)
        if figure is None:
            gaps += [f"{part.feed}: not determined"] if part.as_fed_kg else []
            continue
        span = _coefficient(part.kind, known)
        if span is None:
            gaps.append(f"{part.feed}: no absorption in {edition} as recalled here")
            untold = True
            continue
        fed = part.as_fed_kg * part.dry_fraction * figure * nutrients()[mineral].per_kg * size
        low, high, counted = low + fed * span[0], high + fed * span[1], True
    if untold or not counted:  # half a ration's supply would look like a shortage
        return None, None, tuple(gaps)
    return low, high, tuple(gaps)


def _coefficient(kind: str, known: Mapping[str, Any]) -> tuple[float, float] | None:
    """The fraction absorbed from a kind of feed, as low and high; none where the table has none that fits.

    Which salt a mineral mix is made of is not recorded, so the span runs over the sources the table has.
    """
    if "all" in known:
        return known["all"].low, known["all"].high
    if kind in MINERAL_KINDS:
        fitting = [one for feed, one in known.items() if feed not in (FORAGE, CONCENTRATE, "feed")]
        fitting = fitting or [known[feed] for feed in (CONCENTRATE,) if feed in known]
    else:
        names = (FORAGE, "feed") if kind == FORAGE else (CONCENTRATE, "feed")
        fitting = [known[feed] for feed in names if feed in known]
    if not fitting:
        return None
    return min(one.low for one in fitting), max(one.high for one in fitting)


def _calcium_dry(pen: Pen, parts: Sequence[Part], sums: Totals) -> Iterator[Need]:
    low, high, gaps = absorbed("ca", NRC, parts, 1000.0)
    yield _Asked("calcium-dry-2001", pen).need(
        "ca",
        "Calcium absorbed",
        NRC,
        "g",
        low=low,
        high=high,
        cautions=("without what the calf takes", *gaps),
    )


def _vitamins(pen: Pen, parts: Sequence[Part], sums: Totals) -> Iterator[Need]:
    older = "lactating" if pen.state == "lactating" else "dry"
    newer = "close-up" if pen.kind == "close-up" else older
    milk = pen.milk if pen.state == "lactating" else 0.0
    asks: list[tuple[str, str, _Asked]] = [
        ("vit_a", NRC, _Asked("vitamin-a-2001", pen)),
        ("vit_d", NRC, _Asked("vitamin-d-2001", pen)),
        ("vit_e", NRC, _Asked("vitamin-e-2001", pen, state=older)),
        ("vit_a", NASEM, _Asked("vitamin-a-2021", pen, milk=milk)),
        ("vit_e", NASEM, _Asked("vitamin-e-2021", pen, state=newer)),
    ]
    if pen.state == "lactating":
        asks.append(("vit_d", NASEM, _Asked("vitamin-d-2021", pen)))
    for key, edition, asked in asks:
        yield asked.need(key, f"Vitamin {key[-1].upper()} fed", edition, "IU", **_reported(sums, key))


__all__ = ["Need", "Pen", "absorbed", "intake_predictions", "known_of", "needs"]

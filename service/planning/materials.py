"""The list of materials: the closure, its new trays, the sleeves, and whatever the catalogue's rules count.

A rule gives so many of its item for each thing that the plan knows. What the closure's box includes is taken off, then
the rest is rounded up to packs. Quantities and prices are exact decimals.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from math import ceil
from typing import Literal

from service.domain.catalogue import Cable, Closure, Counted, MaterialRule, Port, RibbonForm, Sleeve, Tray, When
from service.domain.plan import MaterialLine, SleeveCount

NARROWED_BY: Mapping[Counted, frozenset[str]] = {
    "closure": frozenset(),
    "port": frozenset({"od_mm"}),
    "blank_port": frozenset({"od_mm"}),
    "cable": frozenset({"od_mm", "ribbon_form"}),
    "armoured_cable": frozenset({"od_mm", "ribbon_form"}),
    "tray": frozenset(),
    "splice": frozenset({"slot_kind"}),
    "ribbon_end": frozenset({"ribbon_form"}),
    "ribbonised_end": frozenset(),
    "express_tube": frozenset({"od_mm", "ribbon_form"}),
    "transport_tube": frozenset({"od_mm", "ribbon_form"}),
}
"""What may narrow each thing counted, beside ``re_entry``, which may narrow any.

A rule that is narrowed by anything else counts nothing (:func:`idle_rules`).
"""

_NAMES: Mapping[Counted, tuple[str, str]] = {
    "closure": ("closure", "closures"),
    "port": ("port in use", "ports in use"),
    "blank_port": ("blank port", "blank ports"),
    "cable": ("cable", "cables"),
    "armoured_cable": ("armoured cable", "armoured cables"),
    "tray": ("new tray", "new trays"),
    "splice": ("splice", "splices"),
    "ribbon_end": ("ribbon end", "ribbon ends"),
    "ribbonised_end": ("ribbonised end", "ribbonised ends"),
    "express_tube": ("express tube", "express tubes"),
    "transport_tube": ("transport tube", "transport tubes"),
}

_NONE = Decimal(0)
_CENT = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class MaterialCounts:
    """What a plan knows and a rule can count.

    ``ports``: each port place in use with the cable diameters in it; ``blanks``: each place left blank; ``cables``:
    each cable at the point once, express or not; ``splices`` by slot kind; ``ribbon_ends`` by ribbon form, plain ends
    without remakes, as ``ribbonised_ends``; tubes with their cable. ``closures`` is 1 for a new closure and for one
    that is opened again, since its per-closure items (seals, drying agent) are used up either way; ``re_entry`` tells
    the two apart.
    """

    closures: int = 1
    re_entry: bool = False
    ports: tuple[tuple[Port, tuple[float, ...]], ...] = ()
    blanks: tuple[Port, ...] = ()
    cables: tuple[Cable, ...] = ()
    trays: int = 0
    splices: Mapping[str, int] = field(default_factory=dict)
    ribbon_ends: Mapping[RibbonForm, int] = field(default_factory=dict)
    ribbonised_ends: int = 0
    express_tubes: tuple[tuple[Cable, int], ...] = ()
    transport_tubes: tuple[tuple[Cable, int], ...] = ()


def count_materials(
    rules: Iterable[MaterialRule],
    counts: MaterialCounts,
    closure: Closure,
    *,
    existing: bool = False,
    trays: Sequence[tuple[Tray, int]] = (),
    sleeves: Sequence[tuple[Sleeve, SleeveCount]] = (),
) -> tuple[MaterialLine, ...]:
    """The lines of one plan: the closure, trays, sleeves, then the rules' items, each section by code.

    An ``existing`` closure has no line, and its box is long gone: nothing is taken off for it. A line's ``quantity``
    is all that is needed, ``included`` what of it comes in the box; packs and price are for the rest.
    """
    box: dict[str, Decimal] = {}
    if not existing:
        for item in closure.includes:
            box[item.material] = box.get(item.material, _NONE) + item.quantity
    lines: list[MaterialLine] = []
    if not existing:
        lines.append(_line("closure", closure, "the closure itself", Decimal(1), box={}))
    for tray, number in sorted(trays, key=lambda pair: pair[0].code):
        if number > 0:
            because = f"{number} new tray{'' if number == 1 else 's'} in the plan"
            lines.append(_line("tray", tray, because, Decimal(number), box=box))
    for sleeve, count in sorted(sleeves, key=lambda pair: pair[0].code):
        if count.quantity > 0:
            quantity = Decimal(count.quantity)
            lines.append(_line("sleeve", sleeve, _sleeves_because(count), quantity, box=box, pack_of=sleeve.pack_of))
    for rule in sorted(rules, key=lambda rule: rule.code):
        number = counted(rule, counts)
        if number > 0 and rule.quantity > 0:
            because = f"{number} {_NAMES[rule.per][number != 1]}, {_plain(rule.quantity)} each"
            quantity = rule.quantity * number
            lines.append(_line("material", rule, because, quantity, box=box, pack_of=rule.pack_of, unit=rule.unit))
    return tuple(lines)


def counted(rule: MaterialRule, counts: MaterialCounts) -> int:
    """How many of what the rule counts the plan has; 0 where the rule is narrowed by what does not apply to it."""
    if _narrowing(rule.when) - NARROWED_BY[rule.per]:
        return 0
    when = rule.when
    if when.re_entry not in (None, counts.re_entry):
        return 0
    match rule.per:
        case "closure":
            return counts.closures
        case "port":
            return sum(any(_od(when, od) for od in ods) or not _by_od(when) for _, ods in counts.ports)
        case "blank_port":
            return sum(_overlaps(when, port) for port in counts.blanks)
        case "cable":
            return sum(_cable(when, cable) for cable in counts.cables)
        case "armoured_cable":
            return sum(cable.armoured and _cable(when, cable) for cable in counts.cables)
        case "tray":
            return counts.trays
        case "splice":
            return sum(n for kind, n in counts.splices.items() if when.slot_kind in (None, kind))
        case "ribbon_end":
            return sum(n for form, n in counts.ribbon_ends.items() if when.ribbon_form in (None, form))
        case "ribbonised_end":
            return counts.ribbonised_ends
        case "express_tube":
            return sum(n for cable, n in counts.express_tubes if _cable(when, cable))
        case "transport_tube":
            return sum(n for cable, n in counts.transport_tubes if _cable(when, cable))


def idle_rules(rules: Iterable[MaterialRule]) -> tuple[str, ...]:
    """A note for each rule that can count nothing, since it is narrowed by what does not apply to what it counts."""
    notes = []
    for rule in sorted(rules, key=lambda rule: rule.code):
        odd = _narrowing(rule.when) - NARROWED_BY[rule.per]
        if odd:
            members = " and ".join(sorted(odd))
            notes.append(f"material rule {rule.code} counts nothing: {members} does not narrow {rule.per}")
    return tuple(notes)


@lru_cache(maxsize=4096)
def _plain(quantity: Decimal) -> str:
    return f"{quantity.normalize():f}"


def _line(
    kind: Literal["closure", "tray", "sleeve", "material"],
    entry: Closure | Tray | Sleeve | MaterialRule,
    because: str,
    quantity: Decimal,
    *,
    box: Mapping[str, Decimal],
    pack_of: int | None = None,
    unit: str = "piece",
) -> MaterialLine:
    """A line of one entry: what the box includes taken off, the rest in packs (pieces without), priced by the pack."""
    included = min(box.get(entry.code, _NONE), quantity)
    rest = quantity - included
    packs = ceil(rest / (pack_of or 1))
    price = None if entry.price is None else (packs * entry.price).quantize(_CENT, ROUND_HALF_UP)
    currency = None if price is None else entry.currency
    return MaterialLine(kind, entry.code, entry.title, quantity, unit, packs, because, included, price, currency)


def _sleeves_because(count: SleeveCount) -> str:
    splices = f"{count.splices} splice{'' if count.splices == 1 else 's'}"
    spares = f"{count.spares} spare{'' if count.spares == 1 else 's'}"
    rework = f"a rework of {count.rework * 100:.3g} %"
    return f"{splices} and {spares} for {count.confidence * 100:g} % confidence at {rework}"


@lru_cache(maxsize=4096)
def _narrowing(when: When) -> frozenset[str]:
    used = set()
    if _by_od(when):
        used.add("od_mm")
    if when.slot_kind is not None:
        used.add("slot_kind")
    if when.ribbon_form is not None:
        used.add("ribbon_form")
    return frozenset(used)


def _by_od(when: When) -> bool:
    return when.od_min_mm is not None or when.od_max_mm is not None


def _od(when: When, od_mm: float) -> bool:
    return (when.od_min_mm is None or when.od_min_mm <= od_mm) and (when.od_max_mm is None or od_mm <= when.od_max_mm)


def _overlaps(when: When, port: Port) -> bool:
    return (when.od_min_mm is None or when.od_min_mm <= port.od_max_mm) and (
        when.od_max_mm is None or port.od_min_mm <= when.od_max_mm
    )


def _cable(when: When, cable: Cable) -> bool:
    return _od(when, cable.od_mm) and when.ribbon_form in (None, cable.ribbon_form)

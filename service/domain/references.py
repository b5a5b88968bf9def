"""What catalogue entries say of each other, and whether it holds.

A closure names the trays it takes and the items in its box, a cable may name the method by which it is prepared.
Nothing may point at an entry that does not exist. A retired entry stays where it is named already, but an entry
that is new or changed may name it only when it is retired itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from service.domain.catalogue import KINDS, Cable, Catalogue, Closure, MaterialRule, Method
from service.domain.faults import Fault

_BOX = ("materials", "trays", "sleeves")
"""The sections in which an item that comes in a closure's box may stand."""


@dataclass(frozen=True, slots=True)
class Examined:
    """An entry to look at. ``pointer`` is its place in the document, ``changed``: it is new or differs."""

    kind: str
    entry: object
    pointer: str = ""
    changed: bool = True
    retired: bool = False


def reference_faults(catalogue: Catalogue, examined: Iterable[Examined]) -> list[Fault]:
    """All that is wrong with the examined entries, given the catalogue as it will be when they stand in it.

    Fault codes: ``unknown_code``, ``retired``, ``unsuitable`` (a method of another ribbon form), ``duplicate``
    and ``range`` (a smallest diameter above the largest).
    """
    faults: list[Fault] = []
    for each in examined:
        entry = each.entry
        if isinstance(entry, Closure):
            faults.extend(_closure_faults(catalogue, entry, each))
        elif isinstance(entry, Cable):
            faults.extend(_cable_faults(catalogue, entry, each))
        elif isinstance(entry, MaterialRule):
            least, most = entry.when.od_min_mm, entry.when.od_max_mm
            if least is not None and most is not None and least > most:
                faults.append(_range_fault(f"{each.pointer}/when/od_min_mm", least, most))
    return faults


def duplicate_codes(document: Mapping[str, Any]) -> list[Fault]:
    """The codes that stand more than once in a section of a whole catalogue document, each at its later places."""
    faults = []
    for kind in KINDS:
        seen: dict[str, int] = {}
        for index, entry in enumerate(document.get(kind) or ()):
            first = seen.setdefault(entry["code"], index)
            if first != index:
                detail = f"The code {entry['code']} stands at /{kind}/{first} already."
                faults.append(Fault(f"/{kind}/{index}/code", "duplicate", detail))
    return faults


def unsuited_cables(cables: Iterable[Cable], method: Method, pointer: str = "") -> list[Fault]:
    """One fault where cables name this method and it is of a ribbon form that does not suit them."""
    codes = [cable.code for cable in cables if cable.method == method.code and not suits(method, cable)]
    if not codes:
        return []
    detail = f"The form {method.ribbon_form} does not suit cables that name this method: {', '.join(codes)}."
    return [Fault(f"{pointer}/ribbon_form", "unsuitable", detail)]


def suits(method: Method, cable: Cable) -> bool:
    """Whether a cable can be prepared by a method.

    Ribbons need the method of their own form. Loose fibres are joined one at a time (``loose`` and ``single`` say
    the same), or as flat ribbons once they have been ribbonised in the field (common practice, no source).
    """
    if cable.ribbon_form != "loose":
        return method.ribbon_form == cable.ribbon_form
    ribbonised = cable.ribbonise and cable.ribbon_fibres > 1 and method.ribbon_form == "flat"
    return ribbonised or method.ribbon_form in ("loose", "single")


def references(kind: str, entry: object) -> frozenset[str]:
    """The entries that an entry may mean, as ``"<section>/<code>"``; an item in a box may be of three sections."""
    if isinstance(entry, Closure):
        named = {f"trays/{allowance.tray}" for allowance in entry.trays}
        named.update(f"{section}/{item.material}" for item in entry.includes for section in _BOX)
        return frozenset(named)
    if isinstance(entry, Cable) and entry.method is not None:
        return frozenset({f"methods/{entry.method}"})
    return frozenset()


def _closure_faults(catalogue: Catalogue, closure: Closure, place: Examined) -> Iterator[Fault]:
    trays: set[str] = set()
    for index, allowance in enumerate(closure.trays):
        pointer = f"{place.pointer}/trays/{index}/tray"
        if allowance.tray in trays:
            yield Fault(pointer, "duplicate", f"The tray {allowance.tray} is named twice; name it once with its most.")
            continue
        trays.add(allowance.tray)
        yield from _named(catalogue, ("trays",), allowance.tray, pointer, place)
    ports: set[str] = set()
    for index, port in enumerate(closure.ports):
        pointer = f"{place.pointer}/ports/{index}"
        if port.name in ports:
            yield Fault(f"{pointer}/name", "duplicate", f"The port name {port.name} is used twice.")
        ports.add(port.name)
        if port.od_min_mm > port.od_max_mm:
            yield _range_fault(f"{pointer}/od_min_mm", port.od_min_mm, port.od_max_mm)
    for index, item in enumerate(closure.includes):
        yield from _named(catalogue, _BOX, item.material, f"{place.pointer}/includes/{index}/material", place)


def _cable_faults(catalogue: Catalogue, cable: Cable, place: Examined) -> Iterator[Fault]:
    if cable.method is None:
        return
    pointer = f"{place.pointer}/method"
    yield from _named(catalogue, ("methods",), cable.method, pointer, place)
    method = catalogue.methods.get(cable.method)
    if method is not None and not suits(method, cable):
        detail = f"The method {method.code} is for {method.ribbon_form}; the cable is {cable.ribbon_form}."
        yield Fault(pointer, "unsuitable", detail)


def _named(
    catalogue: Catalogue, sections: tuple[str, ...], code: str, pointer: str, place: Examined
) -> Iterator[Fault]:
    if any(code in getattr(catalogue, section) for section in sections):
        return
    if any(f"{section}/{code}" in catalogue.retired for section in sections):
        if place.changed and not place.retired:
            yield Fault(pointer, "retired", f"{code} is retired; a new or changed entry cannot name it.")
        return
    yield Fault(pointer, "unknown_code", f"There is no {code} among the {' or '.join(sections)}.")


def _range_fault(pointer: str, least: float, most: float) -> Fault:
    return Fault(pointer, "range", f"The smallest diameter, {least} mm, is above the largest, {most} mm.")

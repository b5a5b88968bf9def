"""The port places of a closure, numbered as the drawing shows them, each with what is in it."""

from __future__ import annotations

from dataclasses import dataclass

from service.domain.catalogue import Closure
from service.domain.dossier import Dossier


@dataclass(frozen=True, slots=True)
class Entry:
    """One port place: its number on the drawing, its name, the largest cable it takes, how many, and those in it."""

    number: int
    group: str
    name: str
    od_max_mm: float | None
    takes: int
    cables: tuple[str, ...]
    seals_mm: tuple[float, ...]


def closure_of(dossier: Dossier) -> Closure | None:
    """The catalogue's entry of the planned closure, None where there is none."""
    return dossier.catalogue.closures.get(dossier.plan.closure or "")


def entries_of(dossier: Dossier) -> list[Entry]:
    """All port places in the catalogue's order; without a catalogue entry those that the plan names."""
    used = {use.port: use for use in dossier.plan.ports}
    closure = closure_of(dossier)
    places: list[tuple[str, str, float | None, int]] = [
        (port.name, f"{port.name}-{number}", port.od_max_mm, port.cables)
        for port in (closure.ports if closure else ())
        for number in range(1, port.count + 1)
    ]
    known = {place[1] for place in places}
    others = (*used, *dossier.plan.spare_ports)
    places += [(name.rpartition("-")[0], name, None, 1) for name in others if name not in known]
    entries = []
    for number, (group, name, od, takes) in enumerate(places, 1):
        use = used.get(name)
        entries.append(Entry(number, group, name, od, takes, use.cables if use else (), use.od_mm if use else ()))
    return entries

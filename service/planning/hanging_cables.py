"""Cables that hang in their closure already: checked against it, and what a crew must know when it opens them again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from service.domain.catalogue import Cable, Catalogue, Closure
from service.domain.faults import Fault
from service.domain.request import CableAtPoint, HangingCable, PlanRequest
from service.planning.lanes import Lane


def hanging_faults(request: PlanRequest, catalogue: Catalogue) -> Iterator[Fault]:
    """What is wrong with the cables that hang already: they need trays, ports that take them, fibres they have."""
    hanging = [(place, at) for place, at in enumerate(request.cables) if at.hanging is not None]
    if hanging and not request.existing_trays:
        for place, _ in hanging:
            yield Fault(
                f"/cables/{place}/hanging", "no_trays", "a cable hangs already only where trays do: name existing_trays"
            )
        return
    closure = catalogue.closures.get(request.closures[0]) if len(request.closures) == 1 else None
    entries: Counter[str] = Counter()
    for place, at in hanging:
        cable = catalogue.cables.get(at.cable)
        if cable is None or at.hanging is None:
            continue
        pointer = f"/cables/{place}/hanging"
        yield from _fibre_faults(pointer, at, at.hanging, cable)
        if closure is not None:
            yield from _port_faults(pointer, at, at.hanging, cable, closure, entries)


def _fibre_faults(pointer: str, at: CableAtPoint, hanging: HangingCable, cable: Cable) -> Iterator[Fault]:
    for member, ranges in (("cut", hanging.cut), ("spliced", hanging.spliced), ("spliced_out", hanging.spliced_out)):
        if any(not 1 <= first <= last <= cable.fibres for first, last in ranges):
            text = f"the fibres of {at.tag} ({cable.code}) run from 1 to {cable.fibres}, each range upwards"
            yield Fault(f"{pointer}/{member}", "outside", text)
    if hanging.spliced_out and not at.express:
        yield Fault(f"{pointer}/spliced_out", "not_express", f"{at.tag} ends here: it has no outgoing end")
    if hanging.window_mm is not None and not at.express:
        yield Fault(f"{pointer}/window_mm", "not_express", f"{at.tag} ends here: its sheath has an end, not a window")


def _port_faults(
    pointer: str, at: CableAtPoint, hanging: HangingCable, cable: Cable, closure: Closure, entries: Counter[str]
) -> Iterator[Fault]:
    """Each place is one that the closure has, takes the cable's diameter, and is not fuller than it can be."""
    places = {f"{port.name}-{n}": port for port in closure.ports for n in range(1, port.count + 1)}
    if len(hanging.ports) == 2 and not at.express:
        yield Fault(f"{pointer}/ports", "not_express", f"{at.tag} ends here: it goes through one port")
    for number, name in enumerate(hanging.ports):
        port = places.get(name)
        if port is None:
            yield Fault(f"{pointer}/ports/{number}", "unknown_port", f"closure {closure.code} has no port of this name")
            continue
        if not port.od_min_mm <= cable.od_mm <= port.od_max_mm:
            text = f"{at.tag} is {cable.od_mm:g} mm thick; this port takes {port.od_min_mm:g} to {port.od_max_mm:g} mm"
            yield Fault(f"{pointer}/ports/{number}", "range", text)
        entries[name] += entries_in(at, hanging)
        if entries[name] > port.cables:
            yield Fault(f"{pointer}/ports/{number}", "too_many", f"this port takes {port.cables} cables")


def entries_in(at: CableAtPoint, hanging: HangingCable) -> int:
    """How many entries a cable takes in each of its ports: an express cable in one port goes in and out there."""
    return 2 if at.express and len(hanging.ports) == 1 else 1


def hanging_notes(lanes: Iterable[Lane]) -> Iterator[str]:
    """What to know of cables that hang already and are joined again."""
    for lane in lanes:
        if lane.before is None:
            continue
        tag = lane.at_point.tag
        if lane.takes_parked():
            yield (
                f"parked ends of {tag} are spliced: they are taken out of the trays they lie in, whose storage and "
                f"entries are free of them only where it is certain which trays these are; check that their length "
                f"does for the new tray"
            )
        opened = lane.tubes_opened_now()
        if opened:
            yield (
                f"{tag} hangs already: {'tube' if len(opened) == 1 else 'tubes'} {', '.join(map(str, opened))} of it "
                f"{'is' if len(opened) == 1 else 'are'} opened now; check that its sheath is open as far as asked"
            )

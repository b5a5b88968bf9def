"""What a hung closure can still take: slots, ports, trays, storage."""

from __future__ import annotations

from collections import Counter

from service.domain.addition import FreePort, FreeRoom, FreeSlots, TrayRoom, TraysToAdd
from service.domain.catalogue import Catalogue, Closure
from service.domain.faults import Fault, Refused
from service.domain.installation import Contents, HungTray
from service.planning.hanging.ends import slots_taken
from service.planning.hanging.parking import as_mm2, as_um2
from service.planning.slack import exact, whole_down


def free_room(contents: Contents, catalogue: Catalogue) -> FreeRoom:
    """The room that is left, by today's catalogue. Raises ``Refused`` where that has the closure or a tray no more."""
    closure = catalogue.closures.get(contents.closure)
    missing = [tray.tray for tray in contents.trays if tray.tray not in catalogue.trays]
    if closure is None or missing:
        told = f"the closure {contents.closure!r}" if closure is None else f"the tray {missing[0]!r}"
        raise Refused([Fault("", "unknown_code", f"the catalogue has not {told} in use any more")])
    trays = tuple(_tray(contents, tray, catalogue) for tray in contents.trays)
    free: Counter[str] = Counter()
    unset: Counter[str] = Counter()
    for room in trays:
        free.update(dict(room.slots))
        for _, gives in room.unset:
            unset.update(dict(gives))
    left = exact(closure.stack_mm) - sum(exact(catalogue.trays[tray.tray].pitch_mm) for tray in contents.trays)
    hanging = Counter(tray.tray for tray in contents.trays)
    to_add = []
    for allowance in closure.trays:
        model = catalogue.trays.get(allowance.tray)
        if model is not None:
            by_height = whole_down(max(left, exact(0.0)) / exact(model.pitch_mm))
            to_add.append(TraysToAdd(model.code, max(0, min(allowance.most - hanging[model.code], by_height))))
    kinds = sorted({*free, *unset})
    return FreeRoom(
        tuple(FreeSlots(kind, free[kind], unset[kind]) for kind in kinds),
        trays,
        _ports(contents, closure),
        max(0.0, float(left)),
        tuple(to_add),
    )


def _tray(contents: Contents, tray: HungTray, catalogue: Catalogue) -> TrayRoom:
    model = catalogue.trays[tray.tray]
    slots: Counter[str] = Counter()
    for bank in tray.banks:
        slots[bank.slot_kind] += bank.slots - len(slots_taken(contents, tray.position, bank.bank))
    in_use = {bank.bank for bank in tray.banks}
    unset = tuple(
        (number, tuple(sorted(gives.items())))
        for number, gives in enumerate(model.single_banks(), start=1)
        if number not in in_use
    )
    storage = ribbons = None
    if model.storage_mm2 is not None:
        storage = as_mm2(max(0, as_um2(model.storage_mm2) - as_um2(tray.storage_used_mm2)))
    if model.entry_ribbons_max is not None:
        ribbons = max(0, model.entry_ribbons_max - tray.ribbons)
    return TrayRoom(tray.position, tray.tray, tray.keep_apart, tuple(sorted(slots.items())), unset, storage, ribbons)


def _ports(contents: Contents, closure: Closure) -> tuple[FreePort, ...]:
    """The places that are not full. An express cable in one port goes in and out there; one given up stays in."""
    held: Counter[str] = Counter()
    for cable in contents.cables:
        for port in cable.ports:
            held[port] += 2 if cable.express and len(cable.ports) == 1 else 1
    return tuple(
        FreePort(name, port.od_min_mm, port.od_max_mm, port.cables - held[name])
        for port in closure.ports
        for name in (f"{port.name}-{n}" for n in range(1, port.count + 1))
        if held[name] < port.cables
    )

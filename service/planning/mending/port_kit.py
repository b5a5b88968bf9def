"""Further cable entries: the fewest that would let every cable in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from service.domain.catalogue import Closure, Port
from service.domain.refusal import PortKit, Remedy
from service.planning.mending.trial import Trial
from service.planning.ports import Entry, assign_ports


def port_kit(trial: Trial) -> Iterator[Remedy]:
    """One kit of equal entries for a range of diameters that would let every cable in, if the closure took it."""
    kit = _kit(trial.closure, list(trial.cables.values()), trial.request.rules.spare_entries)
    if kit is None or not trial.fits(closure=with_kit(trial.closure, kit)):
        return
    entries = "one more cable entry" if kit.entries == 1 else f"{kit.entries} more cable entries"
    span = (
        f"{kit.od_min_mm:g} mm"
        if kit.od_min_mm == kit.od_max_mm
        else f"diameters from {kit.od_min_mm:g} to {kit.od_max_mm:g} mm"
    )
    whom = f", for {', '.join(kit.cables)}" if kit.cables else ", to stay spare"
    text = f"a port kit for closure {trial.closure.code} with {entries} for {span}{whom}: ask its maker"
    yield Remedy("ports", f"{kit.entries} x {span}", True, text, kit.cables, kit.entries, buys=True, kit=kit)


def with_kit(closure: Closure, kit: PortKit) -> Closure:
    """The closure with the kit's entries, each for one cable."""
    taken = {port.name for port in closure.ports}
    name = next(name for name in ("kit", *(f"kit-{n}" for n in range(2, len(taken) + 3))) if name not in taken)
    return replace(closure, ports=(*closure.ports, Port(name, kit.entries, kit.od_min_mm, kit.od_max_mm, 1)))


def _kit(closure: Closure, cables: list[Entry], spare: int) -> PortKit | None:
    """The fewest entries for the cables that find none beside those named before them, and what must stay spare."""
    placed: list[Entry] = []
    left: list[Entry] = []
    for entry in cables:
        if assign_ports(closure, [*placed, entry]).fits:
            placed.append(entry)
        else:
            left.append(entry)
    reach = left or cables
    diameters = [cable.od_mm for _, cable in reach]
    if not diameters:
        return None
    tags = tuple(at.tag for at, _ in left)
    most = sum(2 if at.express else 1 for at, _ in left) + spare
    for entries in range(1, most + 1):
        kit = PortKit(entries, min(diameters), max(diameters), tags)
        if assign_ports(with_kit(closure, kit), cables, spare).fits:
            return kit
    return None

"""Which cable goes to which port.

A cable needs one place in a port whose diameter range takes it; an express cable enters and leaves and needs two. Every
place of a port model is alike, so the search runs over how many cables of each kind (those that the same ports take)
go to each port model: feasible exactly when a matching exists, and then, in order, as many express cables as can be in
one port, the tightest ranges, the fewest ports opened, and the order of cables and ports. Cables that hang already keep
their places, and the others are matched to what is left, places that nothing goes through first among equals.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from service.domain.catalogue import Cable, Closure, Port
from service.domain.plan import PortUse, Reason
from service.domain.request import CableAtPoint
from service.planning.hanging_cables import entries_in
from service.planning.port_matching import Group, Kind, match
from service.planning.port_search import allocate

Entry = tuple[CableAtPoint, Cable]


@dataclass(frozen=True, slots=True)
class PortPlan:
    """The ports in use, those left blank (``name-n``), or the reasons why the cables do not go in.

    An express cable that enters and leaves by one port stands twice in that port's cables and diameters.
    """

    fits: bool
    uses: tuple[PortUse, ...]
    blanks: tuple[str, ...]
    reasons: tuple[Reason, ...] = ()


def assign_ports(closure: Closure, cables: Sequence[Entry], spare_entries: int = 0) -> PortPlan:
    """Assign every cable its place or places.

    ``spare_entries`` counts cable places, of any diameter, that must stay free (an owner's rule).
    """
    if all(at.hanging is None for at, _ in cables):
        return _assigned(closure, cables, spare_entries)
    held = held_places(cables)
    left, names = ports_left(closure.ports, {name: len(entries) for name, entries in held.items()})
    entering = [entry for entry in cables if entry[0].hanging is None]
    found = _assigned(replace(closure, ports=left), entering, spare_entries)
    if not found.fits:
        return PortPlan(False, (), _names(closure.ports), found.reasons)
    new = {names[use.port]: use for use in found.uses}
    order = _names(closure.ports)
    uses = []
    for name in order:
        entries = held.get(name, [])
        tags = tuple(at.tag for at, _ in entries)
        diameters = tuple(cable.od_mm for _, cable in entries)
        if name in new:
            tags, diameters = tags + new[name].cables, diameters + new[name].od_mm
        if tags:
            uses.append(PortUse(name, tags, diameters))
    opened = {use.port for use in uses}
    return PortPlan(True, tuple(uses), tuple(name for name in order if name not in opened))


def held_places(cables: Sequence[Entry]) -> dict[str, list[Entry]]:
    """The entries of the cables that hang already, by port place."""
    held: dict[str, list[Entry]] = {}
    for at, cable in cables:
        if at.hanging is not None:
            for name in at.hanging.ports:
                held.setdefault(name, []).extend([(at, cable)] * entries_in(at, at.hanging))
    return held


def ports_left(ports: Sequence[Port], held: Mapping[str, int]) -> tuple[tuple[Port, ...], dict[str, str]]:
    """The places that are not full, as ports of their own, and what each of their places is called.

    Places of one port that have equally many entries left are alike; those with most left stand first.
    """
    left: list[Port] = []
    names: dict[str, str] = {}
    for number, port in enumerate(ports):
        by_room: dict[int, list[str]] = {}
        for n in range(1, port.count + 1):
            name = f"{port.name}-{n}"
            by_room.setdefault(port.cables - held.get(name, 0), []).append(name)
        for room, places in sorted(by_room.items(), reverse=True):
            if room > 0:
                alike = f"{number}/{room}"
                left.append(replace(port, name=alike, count=len(places), cables=room))
                names.update({f"{alike}-{n}": place for n, place in enumerate(places, start=1)})
    return tuple(left), names


def _assigned(closure: Closure, cables: Sequence[Entry], spare_entries: int) -> PortPlan:
    members: dict[tuple[tuple[int, ...], bool], list[int]] = {}
    for index, (at, cable) in enumerate(cables):
        takes = tuple(t for t, port in enumerate(closure.ports) if port.od_min_mm <= cable.od_mm <= port.od_max_mm)
        members.setdefault((takes, at.express), []).append(index)
    groups = [Group(types, express, len(indices)) for (types, express), indices in members.items()]
    kinds = [Kind(port.count, port.cables, round((port.od_max_mm - port.od_min_mm) * 1e6)) for port in closure.ports]
    seats = [port.count * port.cables for port in closure.ports]
    entries = [group.entries for group in groups]
    _, tight = match(kinds, groups, entries, seats)
    reasons = tuple(_overfull(reached, cables, list(members.values()), groups, seats) for reached in tight)
    free = sum(seats) - sum(entries)
    if not reasons and free < spare_entries:
        reasons = (_too_few_spare(spare_entries, free),)
    if reasons:
        return PortPlan(False, (), _names(closure.ports), reasons)
    placed = _seat(closure.ports, list(members.values()), groups, allocate(kinds, groups))
    uses = tuple(
        PortUse(f"{port.name}-{n + 1}", tuple(cables[i][0].tag for i in held), tuple(cables[i][1].od_mm for i in held))
        for t, port in enumerate(closure.ports)
        for n, held in enumerate(placed[t])
        if held
    )
    opened = {use.port for use in uses}
    return PortPlan(True, uses, tuple(name for name in _names(closure.ports) if name not in opened))


def _names(ports: Sequence[Port]) -> tuple[str, ...]:
    return tuple(f"{port.name}-{n}" for port in ports for n in range(1, port.count + 1))


def _too_few_spare(asked: int, free: int) -> Reason:
    text = f"{asked} cable entries are to stay spare; {free} would be left"
    return Reason("entries", asked, free, "entries", text)


def _seat(
    ports: Sequence[Port],
    members: Sequence[Sequence[int]],
    groups: Sequence[Group],
    taken: Sequence[Sequence[tuple[int, int]]],
) -> list[list[list[int]]]:
    """The cables in each place of each port, from how many pairs and single entries of a group go to each port."""
    pairs: list[list[int]] = [[] for _ in ports]
    singles: list[list[int]] = [[] for _ in ports]
    for indices, group, by_port in zip(members, groups, taken, strict=True):
        queue: Iterator[int] = iter(indices)
        for t, (together, _) in enumerate(by_port):
            pairs[t].extend(next(queue) for _ in range(together))
        apart = [index for index in queue for _ in range(2 if group.express else 1)]
        rest = iter(apart)
        for t, (_, alone) in enumerate(by_port):
            singles[t].extend(next(rest) for _ in range(alone))
    return [_fill(port, sorted(pairs[t]), sorted(singles[t])) for t, port in enumerate(ports)]


def _fill(port: Port, pairs: Sequence[int], singles: Sequence[int]) -> list[list[int]]:
    places: list[list[int]] = [[] for _ in range(port.count)]
    for index in pairs:
        next(held for held in places if len(held) + 2 <= port.cables).extend((index, index))
    for index in singles:
        next(held for held in places if len(held) < port.cables).append(index)
    return places


def _overfull(
    reached: frozenset[int],
    cables: Sequence[Entry],
    members: Sequence[Sequence[int]],
    groups: Sequence[Group],
    seats: Sequence[int],
) -> Reason:
    """The cables that only these ports take need more places than they have (Hall's condition is broken)."""
    crowd = [
        g for g, group in enumerate(groups) if reached.issuperset(group.kinds) and bool(group.kinds) == bool(reached)
    ]
    need, have = sum(groups[g].entries for g in crowd), sum(seats[t] for t in reached)
    named = [f"{cables[i][0].tag} ({cables[i][1].od_mm:g} mm)" for i in sorted(i for g in crowd for i in members[g])]
    where = f"the ports that take them have {have}" if reached else "no port takes that diameter"
    text = (
        f"cable{'' if len(named) == 1 else 's'} {', '.join(named)}: "
        f"{need} entr{'y' if need == 1 else 'ies'} needed; {where}"
    )
    return Reason("ports", need, have, "entries", text)

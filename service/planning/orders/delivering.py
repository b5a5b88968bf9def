"""What came of an order: all of its packs, but for those that are said to be short."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from service.domain.faults import Fault, Refused
from service.domain.order import Item, Order, Short


def delivered(order: Order, short: Mapping[Item, int]) -> Order:
    """The order with the packs that came in its lines: as many as were ordered, or for some items what is told."""
    lines = (replace(line, received=short.get(Item(line.kind, line.item), line.packs)) for line in order.lines)
    return replace(order, lines=tuple(lines))


def checked_short(order: Order, short: Sequence[Short]) -> dict[Item, int]:
    """The packs that came of short items. Raises ``Refused`` where one is not ordered, is told twice, or is more."""
    ordered = {Item(line.kind, line.item): line.packs for line in order.lines}
    found: dict[Item, int] = {}
    faults = []
    for index, (item, packs) in enumerate(short):
        if item not in ordered:
            faults.append(Fault(f"/short/{index}/item", "unknown_item", f"The order has no {item.kind} {item.code}."))
        elif item in found:
            faults.append(Fault(f"/short/{index}/item", "duplicate", f"{item.code} stands here twice."))
        elif packs > ordered[item]:
            detail = f"{ordered[item]} packs of {item.code} were ordered: count what came beyond them into stock."
            faults.append(Fault(f"/short/{index}/packs", "too_many", detail))
        else:
            found[item] = packs
    if faults:
        raise Refused(faults)
    return found

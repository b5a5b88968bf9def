"""The fibres behind the ends of laid splices."""

from __future__ import annotations

from collections.abc import Iterable

from service.domain.catalogue import Cable
from service.domain.installation import Contents, HungCable, LaidSplice
from service.domain.request import CableEnd, Ranges
from service.domain.splices import RibbonEnd


def fibres_of(end: RibbonEnd, cable: Cable) -> range:
    """The fibres that an end is, counted through its cable: one, a ribbon's, or those of half a ribbon."""
    if end.fibre is not None:
        return range(end.fibre, end.fibre + 1)
    first = (end.ribbon - 1) * cable.ribbon_fibres + 1
    fibres = range(first, first + cable.fibres_of_ribbon(end.ribbon))
    if end.half is None:
        return fibres
    middle = len(fibres) // 2
    return fibres[:middle] if end.half == 1 else fibres[middle:]


def is_ribbon(end: RibbonEnd, cable: Cable) -> bool:
    """Whether an end lies as a whole ribbon when it is parked; halves and loose fibres lie as so many fibres."""
    whole = end.fibre is None and end.half is None and cable.ribbon_form != "loose"
    return whole and cable.fibres_of_ribbon(end.ribbon) > 1


def spliced_fibres(splices: Iterable[LaidSplice], tag: str, side: CableEnd, cable: Cable) -> set[int]:
    """The fibres of one cable's incoming or outgoing end that lie in splices."""
    found: set[int] = set()
    for splice in splices:
        for end in (splice.from_, splice.to):
            if end.cable == tag and end.end == side:
                found.update(fibres_of(end, cable))
    return found


def cut_fibres(hung: HungCable) -> set[int]:
    """The fibres of a cable that are cut here."""
    return {fibre for first, last in hung.cut for fibre in range(first, last + 1)}


def as_ranges(numbers: Iterable[int]) -> Ranges:
    """Numbers as closed ranges, from the lowest up."""
    ranges: list[tuple[int, int]] = []
    for number in sorted(set(numbers)):
        if ranges and ranges[-1][1] == number - 1:
            ranges[-1] = (ranges[-1][0], number)
        else:
            ranges.append((number, number))
    return tuple(ranges)


def slots_taken(contents: Contents, position: int, bank: int) -> set[int]:
    """The slots of a bank that splices and parked ends lie in."""
    taken = {each.slot for each in contents.splices if (each.position, each.bank) == (position, bank)}
    for tray in contents.trays:
        if tray.position == position:
            taken.update(slot for each in tray.banks if each.bank == bank for slot in each.parked)
    return taken

"""The trays of a hung closure as an addition finds them, once the parked ends that it splices are out of their trays.

A splice that is taken out leaves two parked ends in its tray. Where they are spliced again, their room is theirs: it
would be counted twice if it stayed taken, and a tray bought for a splice that goes back to its own slot.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from service.domain.catalogue import Cable
from service.domain.installation import Contents
from service.domain.request import ExistingTray
from service.domain.splices import RibbonEnd, Work
from service.planning.hanging.ends import cut_fibres, fibres_of, is_ribbon
from service.planning.hanging.parking import Parking, as_mm2
from service.planning.hanging.standing import hanging_trays

_Tube = tuple[str, int]


@dataclass(slots=True)
class _Taken:
    """What is taken of the parked ends of one tube: whole ribbons, and fibres by the splice that takes them."""

    ribbons: int = 0
    fibres: list[int] = field(default_factory=list)


def trays_for(contents: Contents, work: Work, cables: Mapping[str, Cable]) -> tuple[ExistingTray, ...]:
    """The hanging trays without what the parked ends that ``work`` splices take of their channels and entries.

    A record does not tell which ribbon of a tube lies in which tray. So their room counts as free only where all
    parked ends of the tube lie in one tray, and as many there as are taken; else it counts as taken, as if they
    stayed. ``cables`` are the catalogue's entries by tag.
    """
    parking = Parking(contents.trays)
    for (tag, tube), taken in _taken(contents, work, cables).items():
        position = parking.only_tray(tag, tube, taken.ribbons, sum(taken.fibres))
        if position is None:
            continue
        for _ in range(taken.ribbons):
            parking.take_out(tag, tube, 0, True, 0, position)
        for fibres in taken.fibres:
            parking.take_out(tag, tube, fibres, False, 0, position)
    positions = sorted(tray.position for tray in contents.trays)
    return tuple(
        replace(tray, storage_used_mm2=as_mm2(parking.storage[position]), ribbons=parking.ribbons[position])
        for position, tray in zip(positions, hanging_trays(contents), strict=True)
    )


def _taken(contents: Contents, work: Work, cables: Mapping[str, Cable]) -> Mapping[_Tube, _Taken]:
    cut = {hung.tag: cut_fibres(hung) for hung in contents.cables}
    taken: dict[_Tube, _Taken] = defaultdict(_Taken)
    for end, fibres in _ends(work):
        cable = cables[end.cable]
        parked = cut.get(end.cable, set()).intersection(fibres_of(end, cable))
        if not parked:
            continue
        of_tube = taken[end.cable, cable.tube_of_ribbon(end.ribbon)]
        if is_ribbon(end, cable) and len(parked) == fibres:
            of_tube.ribbons += 1
        else:
            of_tube.fibres.append(len(parked))
    return taken


def _ends(work: Work) -> Iterator[tuple[RibbonEnd, int]]:
    return (
        (end, bundle.fibres)
        for bundle in work.bundles
        for splice in bundle.splices
        for end in (splice.from_, splice.to)
    )

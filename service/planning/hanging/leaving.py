"""What is left in a hung closure when splices are taken out of it or a cable is given up."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from service.domain.catalogue import Cable, Catalogue
from service.domain.faults import Fault, Refused
from service.domain.installation import Contents, LaidSplice
from service.planning.hanging.ends import fibres_of, is_ribbon
from service.planning.hanging.parking import Parking, as_um2
from service.planning.hanging.standing import cable_models


def after_removal(contents: Contents, numbers: Sequence[int], catalogue: Catalogue) -> Contents:
    """What lies in a closure after splices were taken out, as the next visit; pointers are into ``/splices``.

    A slot is free again. Both ends stay cut and are parked in the same tray, so what they take of its channel and
    entry stays taken (common practice, no source). Raises ``Refused`` for a number that does not lie there.
    """
    lying = {splice.number: splice for splice in contents.splices}
    faults = []
    for place, number in enumerate(numbers):
        if number not in lying:
            faults.append(Fault(f"/splices/{place}", "not_there", f"no splice {number} lies in this closure"))
        elif number in numbers[:place]:
            faults.append(Fault(f"/splices/{place}", "duplicate", f"splice {number} is named twice"))
    if not numbers:
        faults.append(Fault("/splices", "nothing", "name the splices that are taken out"))
    if faults:
        raise Refused(faults)
    parking = Parking(contents.trays)
    _take_out([lying[number] for number in numbers], parking, cable_models(contents, catalogue))
    return _left(contents, parking, set(numbers))


def after_abandoning(contents: Contents, tag: str, catalogue: Catalogue) -> Contents:
    """What lies in a closure after a cable was given up, as the next visit; the pointer is ``/cable``.

    Its splices are taken out and its ribbons cut back, which frees what they took of channels and entries; the ends of
    other cables are parked where they lie. It keeps its ports, whose seals stay shut. (Common practice, no source.)
    Raises ``Refused`` for a cable that does not hang there or was given up before.
    """
    hung = next((cable for cable in contents.cables if cable.tag == tag), None)
    if hung is None:
        raise Refused([Fault("/cable", "unknown_tag", f"no cable {tag!r} hangs in this closure")])
    if hung.abandoned:
        raise Refused([Fault("/cable", "abandoned", f"the cable {tag!r} was given up before")])
    gone = [splice for splice in contents.splices if tag in (splice.from_.cable, splice.to.cable)]
    parking = Parking(contents.trays)
    _take_out(gone, parking, cable_models(contents, catalogue))
    parking.cut_back(tag)
    left = _left(contents, parking, {splice.number for splice in gone})
    cables = tuple(replace(cable, cut=(), abandoned=True) if cable.tag == tag else cable for cable in contents.cables)
    return replace(left, cables=cables)


def _take_out(splices: Sequence[LaidSplice], parking: Parking, models: dict[str, Cable]) -> None:
    """Park both ends of each splice in its tray, which they stay charged to."""
    for splice in splices:
        for end, mm2 in zip((splice.from_, splice.to), splice.storage_mm2, strict=True):
            cable = models[end.cable]
            whole = is_ribbon(end, cable)
            count = 1 if whole else len(fibres_of(end, cable))
            if end.fibre is None and not whole:
                # It entered as a ribbon and lies there as so many fibres.
                parking.ribbons[splice.position] -= 1
            tube = cable.tube_of_ribbon(end.ribbon)
            parking.park(splice.position, end.cable, tube, whole, count, as_um2(mm2))


def _left(contents: Contents, parking: Parking, gone: Collection[int]) -> Contents:
    splices = tuple(splice for splice in contents.splices if splice.number not in gone)
    in_use = {splice.position for splice in splices}
    trays = tuple(
        # A tray that no splice lies in any more keeps nothing apart.
        parking.tray(tray if tray.position in in_use else replace(tray, keep_apart=None))
        for tray in contents.trays
    )
    return replace(contents, trays=trays, splices=splices, visits=contents.visits + 1)

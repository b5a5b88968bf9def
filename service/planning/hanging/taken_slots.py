"""How full a hung closure is: the slots that are taken, of all that it has or can still be given."""

from __future__ import annotations

from service.domain.catalogue import Catalogue
from service.domain.installation import Contents
from service.domain.taken_slots import TakenSlots
from service.planning.hanging.free_room import free_room


def taken_slots(contents: Contents, catalogue: Catalogue) -> TakenSlots:
    """The slots of a closure by today's catalogue. Raises ``Refused`` where that has the closure or a tray no more.

    A bank that is not set counts with the slots of the kind that it has most of, and the stack that is left with those
    of the one model of which most go in: so more is never promised than one kind of tray can hold.
    """
    room = free_room(contents, catalogue)
    given = sum(bank.slots for tray in contents.trays for bank in tray.banks)
    free = sum(count for tray in room.trays for _, count in tray.slots)
    unset = sum(max(dict(gives).values(), default=0) for tray in room.trays for _, gives in tray.unset)
    to_come = max((each.most * _most_slots(catalogue, each.tray) for each in room.trays_to_add), default=0)
    return TakenSlots(slots=given + unset + to_come, taken=given - free)


def _most_slots(catalogue: Catalogue, tray: str) -> int:
    return sum(max(gives.values(), default=0) for gives in catalogue.trays[tray].single_banks())

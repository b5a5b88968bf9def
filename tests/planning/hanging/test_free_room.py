"""The room that a hung closure has left, by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.domain.addition import FreePort, FreeSlots, TraysToAdd
from service.domain.faults import Refused
from service.domain.installation import Contents, HungBank, HungCable, HungTray, LaidSplice
from service.domain.splices import RibbonEnd
from service.planning.hanging.free_room import free_room
from tests.planning.hanging.hung_catalogue import hung_catalogue

CATALOGUE = hung_catalogue()
TRAYS = (
    HungTray(1, "r12", (HungBank(1, "ribbon-12", 6, (6,)),), None, 60.25, 180.0, 9, (), 1),
    HungTray(2, "s24", (HungBank(1, "single", 24),), "lease", 0.0, 180.0, 0, (), 1),
)
SPLICES = tuple(
    LaidSplice(slot, 1, 1, slot, RibbonEnd("A", slot), RibbonEnd("B", slot), 12, "rs-12", 1) for slot in (1, 2, 4)
)
CABLES = (
    HungCable("A", "flat-288", True, ("oval-1",), (), 1),
    HungCable("B", "roll-288", False, ("oval-2",), (), 1),
    HungCable("C", "drop-24", False, ("round-2",), (), 1, abandoned=True),
)
CONTENTS = Contents("hung", CABLES, TRAYS, SPLICES, 3, 1)


def test_free_slots_are_those_of_set_banks_and_what_unset_ones_could_give() -> None:
    """Of six ribbon slots three hold splices and one a parked end; the other bank gives 6 ribbon or 12 single slots."""
    room = free_room(CONTENTS, CATALOGUE)
    assert room.slots == (FreeSlots("ribbon-12", 2, 6), FreeSlots("single", 24, 12))
    first, second = room.trays
    assert (first.slots, first.unset) == ((("ribbon-12", 2),), ((2, (("ribbon-12", 6), ("single", 12))),))
    assert (second.keep_apart, second.unset) == ("lease", ())


def test_channel_and_entries_are_what_is_left_and_untold_where_there_is_no_limit() -> None:
    """180 less 60.25 mm², 34 less 9 ribbons; without a limit None."""
    room = free_room(CONTENTS, CATALOGUE).trays[0]
    assert (room.storage_left_mm2, room.ribbons_left) == (119.75, 25)
    trays = {c: replace(t, storage_mm2=None, entry_ribbons_max=None) for c, t in CATALOGUE.trays.items()}
    room = free_room(CONTENTS, replace(CATALOGUE, trays=trays)).trays[0]
    assert (room.storage_left_mm2, room.ribbons_left) == (None, None)


def test_ports_are_free_where_entries_are_left() -> None:
    """A passes through oval-1 and fills it; B leaves one entry of oval-2; C was given up and keeps round-2."""
    assert free_room(CONTENTS, CATALOGUE).ports == (
        FreePort("oval-2", 10.0, 25.0, 1),
        FreePort("round-1", 5.0, 20.0, 1),
    )


def test_trays_can_be_added_by_height_and_number() -> None:
    """110 less 18 and 9 mm are 83: three more r12 (4 less 1; by height 4), three r6 (by number), one s24 (2 less 1)."""
    room = free_room(CONTENTS, CATALOGUE)
    assert room.stack_left_mm == 83.0
    assert room.trays_to_add == (TraysToAdd("r12", 3), TraysToAdd("r6", 3), TraysToAdd("s24", 1))
    low = replace(CATALOGUE.closures["hung"], stack_mm=45.0)
    room = free_room(CONTENTS, replace(CATALOGUE, closures={"hung": low}))
    assert room.trays_to_add == (TraysToAdd("r12", 1), TraysToAdd("r6", 1), TraysToAdd("s24", 1))


def test_a_model_that_is_not_in_the_catalogue_any_more_is_told() -> None:
    """Neither a closure nor a tray that is gone is guessed at."""
    for gone in (replace(CATALOGUE, closures={}), replace(CATALOGUE, trays={"r12": CATALOGUE.trays["r12"]})):
        with pytest.raises(Refused) as refusal:
            free_room(CONTENTS, gone)
        assert [fault.code for fault in refusal.value.faults] == ["unknown_code"]

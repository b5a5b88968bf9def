"""How full a hung closure is."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from service.documents.catalogue import catalogue_from
from service.domain.catalogue import Catalogue
from service.domain.faults import Refused
from service.domain.installation import HungBank
from service.domain.taken_slots import TakenSlots
from service.planning.hanging.taken_slots import taken_slots
from tests import catalogue_documents as documents
from tests.hung_closures import contents


def catalogue(banks: list[dict[str, object]], most: int = 1, stack_mm: float = 48, other: Any = None) -> Catalogue:
    """The closure of the hung ones, whose tray has these banks and is 12 mm high."""
    trays = [documents.tray("ribbon-12", banks=banks), documents.tray("single-6", **(other or {}))]
    allowed = [{"tray": "ribbon-12", "most": most}, {"tray": "single-6", "most": most - 1}]
    closure = documents.closure("dome-48", stack_mm=stack_mm, trays=allowed if most > 1 else allowed[:1])
    return catalogue_from(documents.whole(trays=[documents.tray(), *trays], closures=[documents.closure(), closure]))


ONE_BANK: list[dict[str, object]] = [{"count": 1, "slots": {"ribbon-12": 12}}]


def test_splices_and_parked_ends_take_slots() -> None:
    """Three splices and a parked end in the twelve slots of the one bank that is set."""
    assert taken_slots(contents(3), catalogue(ONE_BANK)) == TakenSlots(12, 4)
    assert taken_slots(contents(11), catalogue(ONE_BANK)).share == 1


def test_a_bank_that_is_not_set_counts_with_its_largest_kind() -> None:
    """Worked by hand: 12 slots of the bank that is set, and 6 of the kind that the other one has most of."""
    banks = [*ONE_BANK, {"count": 1, "slots": {"ribbon-12": 3, "single": 6}}]
    assert taken_slots(contents(3), catalogue(banks)) == TakenSlots(18, 4)


def test_trays_to_come_count_as_those_of_the_model_that_gives_most() -> None:
    """48 mm of stack, 12 of them taken: three more of 12 slots each, or one of two banks of 60; not both together."""
    assert taken_slots(contents(3), catalogue(ONE_BANK, most=4)) == TakenSlots(12 + 3 * 12, 4)
    large = {"banks": [{"count": 2, "slots": {"single": 60}}], "pitch_mm": 36}
    assert taken_slots(contents(3), catalogue(ONE_BANK, most=4, other=large)) == TakenSlots(12 + 120, 4)
    assert taken_slots(contents(3), catalogue(ONE_BANK, most=4, stack_mm=12, other=large)) == TakenSlots(12, 4)


def test_a_closure_that_can_have_no_slot_is_full() -> None:
    """There is nothing that anybody could put there."""
    assert TakenSlots(0, 0).share == 1


def test_what_the_catalogue_does_not_know_has_no_share() -> None:
    """Refused, as the room left is."""
    tray = contents(3).trays[0]
    unknown = replace(contents(3), trays=(replace(tray, tray="gone", banks=(HungBank(1, "ribbon-12", 12),)),))
    with pytest.raises(Refused, match="gone"):
        taken_slots(unknown, catalogue(ONE_BANK))

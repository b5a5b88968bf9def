"""Trays that hang already are held against their closure before anything is planned into them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.domain.request import ExistingBank, ExistingTray
from service.planning.existing import existing_faults
from tests.small_catalogue import request_for, ribbon_joint, small_catalogue

CATALOGUE = small_catalogue()
REQUEST = request_for({"A": "flat-288", "C": "drop-24"}, [ribbon_joint("A", "1-2", "C", "1-2")])


def found(*trays: ExistingTray, closures: tuple[str, ...] = ("dome-48",)) -> list[tuple[str, str]]:
    """Pointers and codes of what is wrong with hanging trays."""
    request = replace(REQUEST, existing_trays=trays, closures=closures)
    return [(fault.pointer, fault.code) for fault in existing_faults(request, CATALOGUE)]


def test_trays_as_they_can_hang_are_taken() -> None:
    """A bank in use and one that is free."""
    assert found(ExistingTray("r12", (ExistingBank(1, "ribbon-12", 6),)), ExistingTray("s24")) == []


@pytest.mark.parametrize("closures", [(), ("dome-48", "dome-24")])
def test_hanging_trays_need_their_one_closure(closures: tuple[str, ...]) -> None:
    """Trays hang in one closure; without trays nothing is asked."""
    assert found(ExistingTray("r6"), closures=closures) == [("/closures", "one_closure")]
    assert found(closures=closures) == []


@pytest.mark.parametrize(
    ("bank", "expected"),
    [
        (ExistingBank(3, "ribbon-12", 1), ("/existing_trays/0/banks/0/bank", "outside")),
        (ExistingBank(1, "ribbon-99", 1), ("/existing_trays/0/banks/0/slot_kind", "unknown_code")),
        (ExistingBank(1, "ribbon-12", 7), ("/existing_trays/0/banks/0/used", "range")),
    ],
)
def test_banks_are_as_the_tray_has_them(bank: ExistingBank, expected: tuple[str, str]) -> None:
    """Its number, its slot kinds, its slots."""
    assert found(ExistingTray("r12", (bank,))) == [expected]


def test_a_bank_is_described_once() -> None:
    """Twice the same number is a fault at the second."""
    tray = ExistingTray("r12", (ExistingBank(1, "single", 1), ExistingBank(1, "single", 1)))
    assert found(tray) == [("/existing_trays/0/banks/1/bank", "duplicate")]


def test_the_closure_takes_the_trays_their_number_and_their_height() -> None:
    """An unknown tray, one more than it takes, and more height than its stack, each told."""
    assert found(ExistingTray("nope")) == [("/existing_trays/0/tray", "unknown_code")]
    assert found(*[ExistingTray("s24")] * 5) == [("/existing_trays/4/tray", "too_many")]
    assert found(*[ExistingTray("r12")] * 5, ExistingTray("r6")) == [("/existing_trays", "too_high")]


def test_what_is_used_of_channel_and_entry_is_there() -> None:
    """No more mm² than the channel has, no more ribbons than may enter."""
    narrow = replace(CATALOGUE.trays["r6"], storage_mm2=50.0, entry_ribbons_max=8)
    catalogue = replace(CATALOGUE, trays={**CATALOGUE.trays, "r6": narrow})
    request = replace(REQUEST, existing_trays=(ExistingTray("r6", storage_used_mm2=50.1, ribbons=9),))
    assert [(fault.pointer, fault.code) for fault in existing_faults(request, catalogue)] == [
        ("/existing_trays/0/storage_used_mm2", "range"),
        ("/existing_trays/0/ribbons", "range"),
    ]


@pytest.mark.parametrize(
    ("taken", "expected"),
    [
        (((1, 1), (3, 4)), []),
        (((3, 7),), ["outside"]),
        (((4, 3),), ["outside"]),
        (((1, 2), (2, 2)), ["duplicate"]),
        (((1, 4),), ["unequal"]),
    ],
)
def test_slots_that_are_taken_are_told_as_they_are_counted(
    taken: tuple[tuple[int, int], ...], expected: list[str]
) -> None:
    """Slots of the bank, each once, as many as are used."""
    tray = ExistingTray("r12", (ExistingBank(1, "ribbon-12", 3, taken),))
    assert found(tray) == [("/existing_trays/0/banks/0/taken", code) for code in expected]

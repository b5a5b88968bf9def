"""What catalogue entries may say of each other."""

from __future__ import annotations

from typing import Any

import pytest

from service.documents.catalogue import catalogue_from, entry_from
from service.domain.faults import Fault
from service.domain.references import Examined, duplicate_codes, reference_faults, references, suits, unsuited_cables
from tests import catalogue_documents as documents


def faults_of(kind: str, entry: dict[str, Any], beside: dict[str, Any] | None = None, **place: Any) -> list[Fault]:
    catalogue = catalogue_from(documents.whole() if beside is None else beside)
    return reference_faults(catalogue, [Examined(kind, entry_from(kind, entry), **place)])


def told(faults: list[Fault]) -> list[tuple[str, str]]:
    return [(fault.pointer, fault.code) for fault in faults]


def test_a_catalogue_whose_references_hold_has_no_faults() -> None:
    """Every entry of the sample catalogue passes."""
    document = documents.whole()
    for kind, entries in document.items():
        assert faults_of(kind, entries[0]) == []


def test_a_closure_cannot_take_a_tray_that_does_not_exist() -> None:
    """The pointer leads to the tray's code, behind the entry's own place."""
    closure = documents.closure(trays=[{"tray": "r6", "most": 1}, {"tray": "r99", "most": 1}])
    assert told(faults_of("closures", closure)) == [("/trays/1/tray", "unknown_code")]
    assert told(faults_of("closures", closure, pointer="/closures/3")) == [("/closures/3/trays/1/tray", "unknown_code")]


def test_a_box_may_hold_materials_trays_and_sleeves_and_nothing_else() -> None:
    """A cable is no item of a box."""
    items = [{"material": code, "quantity": 1} for code in ("wipes", "r6", "rs-12", "flat-288")]
    assert told(faults_of("closures", documents.closure(includes=items))) == [("/includes/3/material", "unknown_code")]


@pytest.mark.parametrize(("changed", "retired", "expected"), [
    (True, False, [("/trays/0/tray", "retired")]),
    (False, False, []),
    (True, True, []),
])  # fmt: skip
def test_a_retired_tray_is_for_closures_that_name_it_already(
    changed: bool, retired: bool, expected: list[tuple[str, str]]
) -> None:
    """A new or changed closure cannot name it, an unchanged one can, and so can one that is itself retired."""
    beside = {"trays": [documents.tray(retired=True)]}
    found = faults_of("closures", documents.closure(), beside, changed=changed, retired=retired)
    assert told(found) == expected


def test_a_retired_item_is_no_fault_where_the_code_is_still_to_be_had() -> None:
    """A box names an item by its code alone: a living sleeve of that code serves beside a retired material."""
    beside = {"materials": [documents.material("kit", retired=True)], "sleeves": [documents.sleeve("kit")]}
    closure = documents.closure(trays=[], includes=[{"material": "kit", "quantity": 1}])
    assert faults_of("closures", closure, beside) == []


def test_trays_and_ports_of_a_closure_are_named_once() -> None:
    """A second mention of a tray or of a port name is a fault at its place."""
    port = documents.closure()["ports"][0]
    closure = documents.closure(trays=[{"tray": "r6", "most": 1}] * 2, ports=[port, port])
    assert told(faults_of("closures", closure)) == [("/trays/1/tray", "duplicate"), ("/ports/1/name", "duplicate")]


def test_a_diameter_range_runs_upwards() -> None:
    """A port or a rule from 25 to 10 mm takes nothing; from 25 to 25 mm takes 25."""
    port = {"name": "p", "count": 1, "od_min_mm": 25, "od_max_mm": 10, "cables": 1}
    assert told(faults_of("closures", documents.closure(ports=[port]))) == [("/ports/0/od_min_mm", "range")]
    assert faults_of("closures", documents.closure(ports=[{**port, "od_max_mm": 25}])) == []
    rule = documents.material(when={"od_min_mm": 25, "od_max_mm": 10})
    assert told(faults_of("materials", rule)) == [("/when/od_min_mm", "range")]


def test_a_cable_names_a_method_that_exists_and_suits_its_form() -> None:
    """An unknown method and one for another ribbon form are told apart."""
    assert told(faults_of("cables", documents.cable(method="none"))) == [("/method", "unknown_code")]
    rollable = documents.cable(ribbon_form="rollable", method="flat-12")
    assert told(faults_of("cables", rollable)) == [("/method", "unsuitable")]


@pytest.mark.parametrize(("cable", "suiting"), [
    ({"ribbon_form": "flat"}, {"flat"}),
    ({"ribbon_form": "rollable"}, {"rollable"}),
    ({"ribbon_form": "loose"}, {"loose", "single", "flat"}),
    ({"ribbon_form": "loose", "ribbonise": False}, {"loose", "single"}),
    ({"ribbon_form": "loose", "ribbon_fibres": 1}, {"loose", "single"}),
])  # fmt: skip
def test_a_method_suits_the_form_that_it_is_made_for(cable: dict[str, Any], suiting: set[str]) -> None:
    """Loose fibres go one at a time, or as flat ribbons where the cable says they may be ribbonised."""
    entry = entry_from("cables", documents.cable(**cable))
    forms = ("flat", "rollable", "loose", "single")
    methods = {form: entry_from("methods", documents.method(ribbon_form=form)) for form in forms}
    assert {form for form, method in methods.items() if suits(method, entry)} == suiting  # type: ignore[arg-type]


def test_a_method_cannot_change_its_form_under_the_cables_that_name_it() -> None:
    """The fault names the cables; a method that no cable names is free to change."""
    cables = [entry_from("cables", documents.cable("a", method="m")), entry_from("cables", documents.cable("b"))]
    changed = entry_from("methods", documents.method("m", ribbon_form="rollable"))
    [fault] = unsuited_cables(cables, changed)  # type: ignore[arg-type]
    assert (fault.pointer, fault.code) == ("/ribbon_form", "unsuitable")
    assert fault.detail.endswith("name this method: a.")
    other = entry_from("methods", documents.method("n", ribbon_form="rollable"))
    assert unsuited_cables(cables, other) == []  # type: ignore[arg-type]


def test_a_code_stands_once_in_a_section() -> None:
    """Later places of a code are faults; the same code in two sections is none."""
    document = {"trays": [documents.tray("x"), documents.tray("y"), documents.tray("x")]}
    document["sleeves"] = [documents.sleeve("x")]
    assert told(duplicate_codes(document)) == [("/trays/2/code", "duplicate")]


def test_an_entry_says_what_it_names() -> None:
    """A closure names its trays and, for an item in its box, every section the item may stand in."""
    closure = entry_from("closures", documents.closure(includes=[{"material": "kit", "quantity": 1}]))
    assert references("closures", closure) == {"trays/r6", "materials/kit", "trays/kit", "sleeves/kit"}
    assert references("cables", entry_from("cables", documents.cable(method="m"))) == {"methods/m"}
    assert references("cables", entry_from("cables", documents.cable())) == frozenset()

"""Catalogue entries as documents."""

from __future__ import annotations

import json
from decimal import Decimal

import pytest

from service.documents.catalogue import catalogue_from, entry_from, entry_to, quantity_from, quantity_to
from service.domain.catalogue import KINDS, Bank, Closure, Included, MaterialRule, Tray, When
from tests import catalogue_documents as documents

FULL = {
    "sleeves": documents.sleeve(width_mm=6, height_mm=4.5, price="31.50", currency="GBP"),
    "trays": documents.tray(
        sleeve_length_max_mm=45,
        storage_mm2=260.5,
        entry_mm=150,
        entry_ribbons_max=24,
        flat_turns_max=2,
        price="18.00",
        currency="EUR",
    ),
    "closures": documents.closure(
        opening_step_mm=50,
        express_mm2=700,
        express_turn_mm=600,
        length_mm=500,
        diameter_mm=220,
        mass_kg=5.4,
        rated_ribbon_fibres=288,
        rated_single_fibres=144,
        includes=[{"material": "wipes", "quantity": 0.1}, {"material": "r6", "quantity": 1}],
        price="240",
        currency="EUR",
    ),
    "cables": documents.cable(armoured=True, ribbonise=False, tube_od_mm=5.6, bend_factor=12, method="flat-12"),
    "methods": documents.method(
        fibres=12,
        strip_dwell_s=5,
        strip_repeats=1,
        strip_length_mm=30,
        strip_tolerance_mm=2,
        cleave_length_mm=10,
        cutback_mm=40,
        clean_s=10,
        cleave_s=20,
        fuse_s=25,
        heat_s=40,
        lay_s=60,
        rework=0.04,
        rework_joints=40,
        holder="H12",
        notes="Warm the ribbon in winter.",
    ),
    "materials": documents.material(
        quantity=0.05,
        when={"od_min_mm": 10, "od_max_mm": 25.4, "slot_kind": "ribbon-12", "ribbon_form": "flat", "re_entry": True},
        pack_of=100,
        price="8.40",
        currency="EUR",
    ),
}
LEAN = {
    "sleeves": documents.sleeve(),
    "trays": documents.tray(),
    "closures": documents.closure(),
    "cables": documents.cable(),
    "methods": documents.method(),
    "materials": documents.material(),
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("documents_by_kind", [FULL, LEAN], ids=["all members", "required members"])
def test_an_entry_comes_back_as_it_was_written(kind: str, documents_by_kind: dict) -> None:
    """Document to entry to document is the same document, members that are not given staying out."""
    document = documents_by_kind[kind]
    again = json.loads(json.dumps(entry_to(kind, entry_from(kind, document))))
    assert again == document


@pytest.mark.parametrize("kind", KINDS)
def test_the_full_documents_name_every_member_of_an_entry(kind: str) -> None:
    """The full example leaves no member of the entry's class at its default, so the round trip above is complete."""
    entry = entry_from(kind, FULL[kind])
    given = set(FULL[kind])
    assert given == set(type(entry).__dataclass_fields__)


def test_money_keeps_its_two_decimals() -> None:
    """8.40 stays 8.40, and no price becomes a binary fraction."""
    rule = entry_from("materials", FULL["materials"])
    assert isinstance(rule, MaterialRule)
    assert str(rule.price) == "8.40"
    assert entry_to("materials", rule)["price"] == "8.40"


def test_a_quantity_is_the_decimal_that_was_written() -> None:
    """0.1 is a tenth exactly, in a closure's box as in a rule."""
    closure = entry_from("closures", FULL["closures"])
    assert isinstance(closure, Closure)
    assert closure.includes == (Included("wipes", Decimal("0.1")), Included("r6", Decimal(1)))
    assert quantity_from(0.05) * 20 == 1


@pytest.mark.parametrize(("number", "written"), [(2, "2"), (2.0, "2"), (0.5, "0.5"), (1000000, "1000000")])
def test_a_whole_quantity_is_written_without_a_point(number: float, written: str) -> None:
    """Quantities go out as whole numbers where they are whole."""
    assert json.dumps(quantity_to(quantity_from(number))) == written


def test_null_stands_for_a_member_that_is_not_given() -> None:
    """A member that is null reads like one that is absent, defaults included."""
    nulls = documents.cable(armoured=None, ribbonise=None, tube_od_mm=None, method=None)
    assert entry_from("cables", nulls) == entry_from("cables", documents.cable())


def test_where_it_stands_is_no_part_of_an_entry() -> None:
    """The members revision and retired are passed over."""
    marked = documents.tray(revision=7, retired=True)
    assert entry_from("trays", marked) == entry_from("trays", documents.tray())


def test_banks_are_numbered_through_the_tray() -> None:
    """A bank entry of count 2 and one of count 1 come to three banks."""
    banks = [{"count": 2, "slots": {"single": 6}}, {"count": 1, "slots": {"ribbon-12": 3}}]
    tray = entry_from("trays", documents.tray(banks=banks))
    assert isinstance(tray, Tray)
    assert tray.banks == (Bank(2, {"single": 6}), Bank(1, {"ribbon-12": 3}))
    assert tray.single_banks() == ({"single": 6}, {"single": 6}, {"ribbon-12": 3})


def test_a_rule_without_when_is_not_narrowed() -> None:
    """No when and an empty when both apply everywhere, and neither is written out."""
    for rule in (documents.material(), documents.material(when={})):
        entry = entry_from("materials", rule)
        assert isinstance(entry, MaterialRule)
        assert entry.when == When()
        assert "when" not in entry_to("materials", entry)


def test_a_catalogue_is_read_by_section_and_code() -> None:
    """Every section is found under its name and code; an absent one is empty."""
    catalogue = catalogue_from(documents.whole())
    assert {kind: list(getattr(catalogue, kind)) for kind in KINDS} == {
        "sleeves": ["rs-12"],
        "trays": ["r6"],
        "closures": ["dome-24"],
        "cables": ["flat-288"],
        "methods": ["flat-12"],
        "materials": ["wipes"],
    }
    assert all(not getattr(catalogue_from({}), kind) for kind in KINDS)


def test_retired_entries_of_a_catalogue_are_named_and_not_offered() -> None:
    """A retired tray is in retired, not among the trays; revisions are taken over where the document has them."""
    catalogue = catalogue_from({"trays": [documents.tray("old", retired=True, revision=4), documents.tray()]})
    assert list(catalogue.trays) == ["r6"]
    assert catalogue.retired == {"trays/old"}
    assert (catalogue.revision("trays", "old"), catalogue.revision("trays", "r6")) == (4, 1)

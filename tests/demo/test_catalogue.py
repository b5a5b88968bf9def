"""The demo's catalogue is valid, uses every member that there is, and could be built."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from itertools import pairwise
from math import hypot, pi
from typing import Any, get_args

from service.api.spec import load_spec
from service.domain.catalogue import (
    KINDS,
    Bank,
    Cable,
    Catalogue,
    Closure,
    Counted,
    Included,
    MaterialRule,
    Method,
    Port,
    Sleeve,
    Tray,
    TrayAllowance,
    When,
)
from service.domain.references import Examined, duplicate_codes, reference_faults
from service.standards.ribbons import height_um, width_um

_ENTRIES = dict(zip(KINDS, (Sleeve, Tray, Closure, Cable, Method, MaterialRule), strict=True))
_INSIDE = {"banks": Bank, "trays": TrayAllowance, "ports": Port, "includes": Included}


def _closures(catalogue: Catalogue) -> Iterator[tuple[Closure, Tray, int]]:
    """Every closure with each tray that it takes, and how many of it."""
    for closure in catalogue.closures.values():
        for allowance in closure.trays:
            yield closure, catalogue.trays[allowance.tray], allowance.most


def test_the_description_allows_it(document: dict[str, Any]) -> None:
    """The document is a catalogue by the published schema."""
    assert [str(error) for error in load_spec().validator("Catalogue").iter_errors(document)] == []


def test_every_name_in_it_is_there(document: dict[str, Any], catalogue: Catalogue) -> None:
    """No entry names a tray, method or item that is missing or retired, and no code stands twice."""
    examined = [Examined(kind, entry) for kind in KINDS for entry in getattr(catalogue, kind).values()]
    assert reference_faults(catalogue, examined) == []
    assert duplicate_codes(document) == []


def test_it_is_as_large_as_the_story_says(document: dict[str, Any], catalogue: Catalogue) -> None:
    """Eleven closures, one of them retired, eight trays, six sleeves, 22 cables, eight methods, 36 rules."""
    assert [len(document[kind]) for kind in KINDS] == [6, 8, 11, 22, 8, 36]
    assert catalogue.retired == {"closures/dome-20"}


def test_every_member_is_used(document: dict[str, Any]) -> None:
    """Each member of each kind of entry stands somewhere, optional ones too, nested ones as well."""
    for kind, entry in _ENTRIES.items():
        used = {member for each in document[kind] for member in each} - {"retired"}
        assert used == {field.name for field in fields(entry)}, kind
    for member, inside in _INSIDE.items():
        parts = [part for kind in KINDS for each in document[kind] for part in each.get(member, ())]
        assert {name for part in parts for name in part} == {field.name for field in fields(inside)}, member
    narrowed = {name for rule in document["materials"] for name in rule.get("when", ())}
    assert narrowed == {field.name for field in fields(When)}


def test_everything_that_can_be_counted_is_counted(catalogue: Catalogue) -> None:
    """At least one rule for each thing that materials are counted by."""
    assert {rule.per for rule in catalogue.materials.values()} == set(get_args(Counted))


def test_every_sleeve_lies_in_some_tray_and_every_slot_takes_some_sleeve(catalogue: Catalogue) -> None:
    """Slot kinds are the sleeves' own, and each sleeve is short enough for a tray that offers its kind."""
    offered = {(tray.code, kind) for tray in catalogue.trays.values() for bank in tray.banks for kind in bank.slots}
    wanted = {sleeve.slot_kind for sleeve in catalogue.sleeves.values()}
    assert {kind for _, kind in offered} == wanted
    for sleeve in catalogue.sleeves.values():
        longest = max(
            catalogue.trays[code].sleeve_length_max_mm or 0 for code, kind in offered if kind == sleeve.slot_kind
        )
        assert sleeve.length_mm <= longest, sleeve.code


def test_a_bank_takes_about_the_same_width_however_it_is_set(catalogue: Catalogue) -> None:
    """Slots of a kind times the width of its widest sleeve differ by half at most between the kinds of one bank."""
    width = {
        kind: max(sleeve.width_mm or 0 for sleeve in catalogue.sleeves.values() if sleeve.slot_kind == kind)
        for kind in {sleeve.slot_kind for sleeve in catalogue.sleeves.values()}
    }
    for tray in catalogue.trays.values():
        for bank in tray.banks:
            rows = [slots * width[kind] for kind, slots in bank.slots.items()]
            assert max(rows) <= 1.5 * min(rows), tray.code


def test_a_stored_turn_is_a_stadium_of_the_trays_radius(catalogue: Catalogue) -> None:
    """Turn = 2 pi R + 2 s (check value of a stadium: R 30 and s 80 give 348.5 mm), with straights of 60 to 130 mm."""
    assert catalogue.trays["single-24"].turn_mm == 348.5
    for tray in catalogue.trays.values():
        straight = (tray.turn_mm - 2 * pi * tray.bend_radius_mm) / 2
        assert 59.9 < straight < 130.1, tray.code


def test_a_stack_takes_the_most_of_each_of_its_trays(catalogue: Catalogue) -> None:
    """What a closure says it takes of a tray stands in its stack, and the stack is lower than the closure is wide."""
    for closure, tray, most in _closures(catalogue):
        assert most * tray.pitch_mm <= closure.stack_mm, (closure.code, tray.code)
        assert closure.stack_mm < (closure.diameter_mm or 0), closure.code


def test_a_rating_is_not_above_what_the_trays_hold(catalogue: Catalogue) -> None:
    """Rated ribbon fibres are at most twelve for every ribbon slot that the stack can hold of one tray model."""
    held: dict[str, int] = {}
    for closure, tray, most in _closures(catalogue):
        slots = sum(bank.get("ribbon-12", 0) for bank in tray.single_banks())
        held[closure.code] = max(held.get(closure.code, 0), 12 * most * slots)
    rated = {code: closure.rated_ribbon_fibres or 0 for code, closure in catalogue.closures.items()}
    assert {code for code, fibres in rated.items() if fibres > held[code]} == set()


def test_cables_get_thicker_with_their_fibres(catalogue: Catalogue) -> None:
    """In a family of one ribbon form, pitch, ribbon size and armour more fibres mean a larger diameter."""
    families: dict[tuple[object, ...], list[tuple[int, float]]] = {}
    for cable in catalogue.cables.values():
        if cable.fibres > 24:
            family = (cable.ribbon_form, cable.pitch_um, cable.ribbon_fibres, cable.armoured)
            families.setdefault(family, []).append((cable.fibres, cable.od_mm))
    for family in families.values():
        for (fewer, thin), (more, thick) in pairwise(sorted(family)):
            assert fewer < more
            assert thin < thick


def test_tubes_hold_their_ribbons(catalogue: Catalogue) -> None:
    """A flat stack's diagonal is inside the tube; rolled fibres fill no more than 0.6 of its bore (wall 0.3 mm)."""
    for cable in catalogue.cables.values():
        if cable.tube_od_mm is None:
            continue
        bore = cable.tube_od_mm - 0.6
        if cable.ribbon_form == "flat":
            height = cable.ribbons_per_tube * height_um(cable.pitch_um)
            assert hypot(width_um(cable.ribbon_fibres, cable.pitch_um), height) / 1000 <= bore, cable.code
        else:
            fibres = cable.ribbons_per_tube * cable.ribbon_fibres
            assert fibres * (cable.pitch_um / 1000) ** 2 <= 0.6 * bore**2, cable.code


def test_prices_are_euros_with_two_decimals(document: dict[str, Any]) -> None:
    """All money of the demo is in one currency, so that totals can be compared."""
    priced = [entry for kind in KINDS for entry in document[kind] if "price" in entry]
    assert len(priced) > 50
    assert {entry.get("currency", "EUR") for entry in priced} == {"EUR"}
    assert [entry["code"] for entry in priced if entry["price"][-3] != "."] == []

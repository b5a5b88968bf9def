"""Materials: rules count what the plan knows, the box is taken off, the rest is bought in packs."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.catalogue import Counted, Included, MaterialRule, When
from service.domain.plan import MaterialLine, SleeveCount
from service.planning.materials import NARROWED_BY, MaterialCounts, count_materials, counted, idle_rules
from tests.planning.entries import cable, closure, port, sleeve, tray

_THICK, _THIN = cable(code="thick", od_mm=20.0), cable(code="thin", od_mm=8.0, armoured=True, ribbon_form="loose")
_OVAL, _ROUND = port("oval", 1, 15, 25, 2), port("round", 4, 5, 12)
_COUNTS = MaterialCounts(
    ports=((_OVAL, (20.0, 22.0)), (_ROUND, (8.0,))),
    blanks=(_ROUND, _ROUND, _ROUND),
    cables=(_THICK, _THIN),
    trays=3,
    splices={"ribbon-12": 24, "single": 6},
    ribbon_ends={"flat": 48, "rollable": 12},
    ribbonised_ends=5,
    express_tubes=((_THICK, 4), (_THIN, 2)),
    transport_tubes=((_THICK, 7), (_THIN, 1)),
)


def _rule(per: Counted, quantity: str = "1", when: When | None = None, **changes: Any) -> MaterialRule:
    rule = MaterialRule("item", "Item", per, Decimal(quantity), "piece", when or When())
    return replace(rule, **changes)


def _lines(*rules: MaterialRule, counts: MaterialCounts = _COUNTS, **options: Any) -> list[MaterialLine]:
    shell = options.pop("shell", closure())
    return [line for line in count_materials(rules, counts, shell, **options) if line.kind == "material"]


@pytest.mark.parametrize(
    ("per", "number"),
    [
        ("closure", 1),
        ("port", 2),
        ("blank_port", 3),
        ("cable", 2),
        ("armoured_cable", 1),
        ("tray", 3),
        ("splice", 30),
        ("ribbon_end", 60),
        ("ribbonised_end", 5),
        ("express_tube", 6),
        ("transport_tube", 8),
    ],
)
def test_a_rule_counts_each_thing_that_the_plan_knows(per: Counted, number: int) -> None:
    """Without narrowing, every one of them."""
    assert counted(_rule(per), _COUNTS) == number


@pytest.mark.parametrize(
    ("per", "when", "number"),
    [
        ("port", When(od_min_mm=15), 1),
        ("port", When(od_max_mm=12), 1),
        ("port", When(od_min_mm=21, od_max_mm=23), 1),
        ("port", When(od_min_mm=9, od_max_mm=15), 0),
        ("blank_port", When(od_min_mm=12, od_max_mm=14), 3),
        ("blank_port", When(od_min_mm=12.1), 0),
        ("blank_port", When(od_max_mm=4.9), 0),
        ("blank_port", When(od_min_mm=12, od_max_mm=12), 3),
        ("blank_port", When(od_min_mm=5, od_max_mm=5), 3),
        ("cable", When(od_min_mm=20), 1),
        ("cable", When(ribbon_form="loose"), 1),
        ("armoured_cable", When(od_min_mm=10), 0),
        ("splice", When(slot_kind="single"), 6),
        ("splice", When(slot_kind="ribbon-24"), 0),
        ("ribbon_end", When(ribbon_form="rollable"), 12),
        ("express_tube", When(od_max_mm=10), 2),
        ("transport_tube", When(od_min_mm=10, ribbon_form="flat"), 7),
    ],
)
def test_a_rule_counts_only_what_it_is_narrowed_to(per: Counted, when: When, number: int) -> None:
    """Ports by the cables in them, blanks by the port's range, cables and tubes by the cable, splices by slot kind."""
    assert counted(_rule(per, when=when), _COUNTS) == number


def test_a_narrowing_that_does_not_apply_counts_nothing_and_is_noted() -> None:
    """A tray has no diameter and a cable no slot kind: such a rule gives no line, and a note says why."""
    odd = [_rule("tray", when=When(od_min_mm=1)), _rule("cable", when=When(slot_kind="single"))]
    assert _lines(*odd) == []
    notes = idle_rules(odd)
    assert "od_mm does not narrow tray" in notes[0]
    assert "slot_kind does not narrow cable" in notes[1]
    assert idle_rules([_rule("port", when=When(od_min_mm=1))]) == ()


def test_every_thing_counted_says_what_narrows_it() -> None:
    """No kind of count is left out of the table that the notes rest on."""
    assert set(NARROWED_BY) == set(Counted.__args__)  # type: ignore[attr-defined]


def test_a_line_says_what_it_was_counted_from() -> None:
    """Number, thing and quantity each, in a sentence's words."""
    (line,) = _lines(_rule("port", "1.50", unit="m"))
    assert (line.quantity, line.unit, line.because) == (Decimal("3.00"), "m", "2 ports in use, 1.5 each")
    assert _lines(_rule("closure"))[0].because == "1 closure, 1 each"


def test_the_rest_is_rounded_up_to_packs_and_priced_by_the_pack() -> None:
    """Sixty ribbon ends in packs of 25 are three packs."""
    (line,) = _lines(_rule("ribbon_end", pack_of=25, price=Decimal("4.05")))
    assert (line.packs, line.price, line.currency) == (3, Decimal("12.15"), "EUR")


def test_fractions_of_wearing_tools_stay_exact() -> None:
    """Thirty splices at 0.001 of an electrode are 0.030, not a binary neighbour, and one electrode to carry."""
    (line,) = _lines(_rule("splice", "0.001"))
    assert line.quantity == Decimal("0.030")
    assert line.packs == 1


def test_what_the_closures_box_includes_is_taken_off_first() -> None:
    """Of sixty, fifty come in the box: the quantity stays, ten are bought; a fuller box leaves nothing, not less."""
    shell = closure(includes=(Included("item", Decimal(50)),))
    (line,) = _lines(_rule("ribbon_end", pack_of=10, price=Decimal("2")), shell=shell)
    assert (line.quantity, line.included, line.packs, line.price) == (60, 50, 1, Decimal("2.00"))
    shell = closure(includes=(Included("item", Decimal(50)), Included("item", Decimal(40))))
    (line,) = _lines(_rule("ribbon_end", pack_of=10, price=Decimal("2")), shell=shell)
    assert (line.quantity, line.included, line.packs, line.price) == (60, 60, 0, Decimal("0.00"))


def test_closure_trays_and_sleeves_have_lines_of_their_own() -> None:
    """In this order, then the materials by code; sleeves in packs, trays from the box first."""
    shell = closure(price=Decimal("210"), includes=(Included("r6", Decimal(1)), Included("rs-12", Decimal(12))))
    count = SleeveCount("rs-12", 24, 3, 27, 3, 0.05, 0.95)
    lines = count_materials(
        [_rule("closure", code="z"), _rule("closure", code="b")],
        _COUNTS,
        shell,
        trays=[(tray(price=Decimal("12.50")), 3)],
        sleeves=[(sleeve(price=Decimal("9.90")), count)],
    )
    assert [(line.kind, line.material, line.quantity, line.included, line.packs, line.price) for line in lines] == [
        ("closure", "dome-48", 1, 0, 1, Decimal("210.00")),
        ("tray", "r6", 3, 1, 2, Decimal("25.00")),
        ("sleeve", "rs-12", 27, 12, 2, Decimal("19.80")),
        ("material", "b", 1, 0, 1, None),
        ("material", "z", 1, 0, 1, None),
    ]
    assert lines[2].because == "24 splices and 3 spares for 95 % confidence at a rework of 5 %"
    assert lines[1].because == "3 new trays in the plan"


def test_a_hanging_closure_is_not_bought_again_and_its_box_is_gone() -> None:
    """An addition lists its kit, takes nothing off for a box opened long ago, and buys no closure."""
    shell = closure(price=Decimal("210"), includes=(Included("item", Decimal(50)),))
    lines = count_materials([_rule("closure")], _COUNTS, shell, existing=True)
    assert [(line.kind, line.included, line.packs) for line in lines] == [("material", 0, 1)]


@pytest.mark.parametrize("per", ["closure", "port", "splice"])
def test_a_re_entry_kit_is_counted_where_a_closure_is_opened_again(per: Counted) -> None:
    """A rule for re-entry counts nothing at the first visit, one against it nothing at the later ones."""
    opened = replace(_COUNTS, re_entry=True)
    kit, first = (_rule(per, when=When(re_entry=only)) for only in (True, False))
    assert counted(kit, _COUNTS) == counted(first, opened) == 0
    assert counted(kit, opened) == counted(first, _COUNTS) == counted(_rule(per), opened) > 0
    assert idle_rules([kit]) == ()


def test_what_is_not_needed_has_no_line() -> None:
    """A rule that counts nothing, a tray of which none is new, and a sleeve of which none is used."""
    lines = count_materials(
        [_rule("ribbonised_end"), _rule("closure", "0")],
        MaterialCounts(),
        closure(),
        trays=[(tray(), 0)],
        sleeves=[(sleeve(), SleeveCount("rs-12", 0, 0, 0, 0, 0.05, 0.95))],
    )
    assert [line.kind for line in lines] == ["closure"]


@given(
    quantity=st.decimals("0.001", "20", places=3),
    boxed=st.decimals("0", "100", places=2),
    pack_of=st.one_of(st.none(), st.integers(1, 50)),
)
def test_packs_cover_the_rest_and_no_pack_is_idle(quantity: Decimal, boxed: Decimal, pack_of: int | None) -> None:
    """Box and packs together cover the need; one pack fewer would not."""
    shell = closure(includes=(Included("item", boxed),))
    (line,) = _lines(_rule("splice", str(quantity), pack_of=pack_of), shell=shell)
    size = pack_of or 1
    assert line.quantity == 30 * quantity
    assert 0 <= line.included <= min(boxed, line.quantity)
    assert line.included + line.packs * size >= line.quantity
    assert line.packs == 0 or line.included + (line.packs - 1) * size < line.quantity

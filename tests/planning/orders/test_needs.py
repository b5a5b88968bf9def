"""What an order needs of each item, all its sources together."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import nbinom

from service.domain.faults import Refused
from service.domain.order import Item, ReworkGroup
from service.planning.orders.needs import confidence_of, needs_of
from service.planning.spares import remakes_within
from tests.order_drafts import SEAL, TIE, ask, sleeves, source

RS12 = Item("sleeve", "rs-12")


def test_quantities_add_up_over_plans_and_points() -> None:
    """Three seals of one plan and two at each of forty points are 83, and each source says its share."""
    needs = needs_of([source(ask(SEAL, 3, 1)), source(ask(SEAL, 2), points=40)], 0.95)
    assert [(need.item, need.quantity, need.included) for need in needs] == [(SEAL, 83, 1)]
    assert [(share.kind, share.quantity, share.included) for share in needs[0].shares] == [
        ("plan", 3, 1),
        ("takeoff", 80, 0),
    ]


def test_fractions_are_added_exactly() -> None:
    """Ten tenths are one, as they are not with binary fractions."""
    needs = needs_of([source(ask(TIE, "0.1")) for _ in range(10)], 0.95)
    assert needs[0].quantity == 1


def test_spares_are_pooled_over_the_order() -> None:
    """Twelve splices at each of 24 points: the spares that all of them need together, not 24 times those of one.

    SciPy's negative binomial is the independent judge.
    """
    alone = remakes_within([(12, 0.05)], 0.95)
    each = ask(RS12, 12 + alone), sleeves("rs-12", [(12, 0.05)], spares=alone)
    need = needs_of([source(*each, points=23), source(*each)], 0.95)[0]
    assert need.spares is not None
    pooled = int(nbinom.ppf(0.95, 24 * 12, 0.95))
    assert (need.spares.splices, need.spares.pooled, need.spares.separate) == (288, pooled, 24 * alone)
    assert need.quantity == 288 + pooled < sum(share.quantity for share in need.shares)


def test_different_rework_rates_are_pooled_and_told() -> None:
    """The groups of splices are kept apart by their rates."""
    first = source(ask(RS12, 20), sleeves("rs-12", [(12, 0.05), (4, 0.1)], spares=4))
    second = source(ask(RS12, 10), sleeves("rs-12", [(8, 0.1)], spares=2))
    spares = needs_of([first, second], 0.99)[0].spares
    assert spares is not None
    assert spares.groups == (ReworkGroup(12, 0.05), ReworkGroup(12, 0.1))
    assert spares.pooled == remakes_within([(12, 0.05), (12, 0.1)], 0.99)


def test_the_confidence_is_the_one_asked_for_or_the_highest_of_the_plans() -> None:
    """Without sleeves it is the default of a plan's rules."""
    low = source(ask(RS12, 9), sleeves("rs-12", [(8, 0.1)], 1, confidence=0.9))
    high = source(ask(RS12, 9), sleeves("rs-12", [(8, 0.1)], 1, confidence=0.97))
    assert confidence_of([low, high], None) == 0.97
    assert confidence_of([low, high], 0.8) == 0.8
    assert confidence_of([source(ask(SEAL, 1))], None) == 0.95


def test_boxes_with_more_sleeves_than_the_pooled_spares_ask_for_leave_nothing_to_buy() -> None:
    """What comes in boxes is never taken for more than is needed."""
    whole = source(ask(RS12, 16, 16), sleeves("rs-12", [(12, 0.1)], spares=4))
    need = needs_of([whole, whole], 0.95)[0]
    assert need.included == need.quantity < 32


def test_one_item_in_two_units_is_refused() -> None:
    """Metres and pieces cannot be added; the fault points at the source that differs."""
    with pytest.raises(Refused) as refusal:
        needs_of([source(ask(TIE, 1)), source(ask(TIE, 2, unit="m"))], 0.95)
    assert [fault.code for fault in refusal.value.faults] == ["unit"]


def test_more_than_can_be_counted_exactly_is_refused() -> None:
    """A document keeps a millionth of up to a thousand million."""
    with pytest.raises(Refused) as refusal:
        needs_of([source(ask(TIE, 100_000), points=10_001)], 0.95)
    assert [fault.code for fault in refusal.value.faults] == ["too_much"]


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(1, 400), st.integers(0, 10**9), st.integers(1, 500)), min_size=1, max_size=8))
def test_the_order_of_the_sources_does_not_matter(parts: list[tuple[int, int, int]]) -> None:
    """Quantities and spares are the same forwards and backwards, and equal a sum made here."""
    sources = [
        source(ask(TIE, _of(millionths)), sleeves("rs-12", [(splices, 0.04)]), ask(RS12, splices), points=n)
        for splices, millionths, n in parts
    ]
    forwards, backwards = needs_of(sources, 0.95), needs_of(sources[::-1], 0.95)
    assert [(need.quantity, need.spares) for need in forwards] == [(need.quantity, need.spares) for need in backwards]
    assert forwards[0].quantity.scaleb(6) == sum(millionths * n for _, millionths, n in parts)
    assert forwards[1].spares is not None
    assert forwards[1].spares.splices == sum(splices * n for splices, _, n in parts)


def _of(millionths: int) -> str:
    return str(Decimal(millionths).scaleb(-6))

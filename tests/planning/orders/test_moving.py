"""What the states of an order do to the stock."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.domain.faults import Refused
from service.domain.order import Item, Order, OrderState, Short
from service.planning.orders.delivering import checked_short, delivered
from service.planning.orders.moving import NEXT, holding, may_follow, movements
from tests.order_drafts import SEAL, TIE, ask, draft

WAYS: list[list[OrderState]] = [
    ["placed", "received", "issued"],
    ["placed", "received", "withdrawn"],
    ["placed", "withdrawn"],
    ["withdrawn"],
]


def an_order(ties: str = "250", available: str = "75") -> Order:
    """An order of ties in packs of 100."""
    return draft(ask(TIE, ties)).settled({TIE: Decimal(available)})


def test_a_draft_holds_what_it_takes_from_stock() -> None:
    """Nothing comes or goes yet."""
    assert holding(an_order()) == ((TIE, 0, 75),)
    assert holding(draft(ask(SEAL, 2)).settled({})) == ()


def test_received_packs_go_to_stock_and_are_held_for_their_plans() -> None:
    """Two packs for 175 ties: 200 more on hand, 175 of them held, 25 free for others."""
    placed = delivered(replace(an_order(), state="placed"), {})
    assert movements(placed, "received") == ((TIE, 200, 175),)


def test_issuing_takes_what_the_plans_need() -> None:
    """All 250 leave the store, those from stock and those bought."""
    received = delivered(replace(an_order(), state="received"), {})
    assert movements(received, "issued") == ((TIE, -250, -250),)


def test_withdrawing_gives_back_what_is_held_by_then() -> None:
    """Before the goods have come those from stock, after it all of them."""
    assert movements(an_order(), "withdrawn") == ((TIE, 0, -75),)
    assert movements(delivered(replace(an_order(), state="received"), {}), "withdrawn") == ((TIE, 0, -250),)
    assert movements(an_order(), None) == ((TIE, 0, -75),)


def test_what_did_not_come_is_neither_on_hand_nor_held() -> None:
    """One pack of two: 100 more on hand, all of it held; issuing takes those and the 75 from stock."""
    placed = delivered(replace(an_order(), state="placed"), {TIE: 1})
    assert movements(placed, "received") == ((TIE, 100, 100),)
    assert movements(replace(placed, state="received"), "issued") == ((TIE, -175, -175),)
    assert movements(replace(placed, state="received"), "withdrawn") == ((TIE, 0, -175),)


@pytest.mark.parametrize(
    ("short", "pointer", "code"),
    [
        ([Short(SEAL, 0)], "/short/0/item", "unknown_item"),
        ([Short(TIE, 1), Short(TIE, 0)], "/short/1/item", "duplicate"),
        ([Short(TIE, 3)], "/short/0/packs", "too_many"),
    ],
)
def test_what_cannot_be_short_is_refused(short: list[Short], pointer: str, code: str) -> None:
    """An item that was not ordered, one told twice, more packs than were ordered."""
    with pytest.raises(Refused) as refusal:
        checked_short(an_order(), short)
    assert [(fault.pointer, fault.code) for fault in refusal.value.faults] == [(pointer, code)]


def test_placing_moves_nothing() -> None:
    """The supplier has the order, the store has not changed."""
    assert movements(an_order(), "placed") == ()


@pytest.mark.parametrize(
    ("state", "following"),
    [(state, other) for state in NEXT for other in NEXT if other not in NEXT[state]],
)
def test_no_state_is_skipped_or_gone_back_to(state: OrderState, following: OrderState) -> None:
    """Only what the table allows may follow, and nothing follows the two ends."""
    assert not may_follow(replace(an_order(), state=state), following)


@given(st.sampled_from(WAYS), st.integers(0, 10**9), st.integers(0, 10**9), st.fractions(0, 1))
def test_whatever_way_an_order_goes_nothing_is_lost(
    way: list[OrderState], ties: int, available: int, came: Fraction
) -> None:
    """At its end it holds nothing, and what is on hand is what was there, plus what came, less what was issued."""
    order = an_order(str(Decimal(ties).scaleb(-6)), str(Decimal(available).scaleb(-6)))
    on_hand: Counter[Item] = Counter()
    held: Counter[Item] = Counter()
    for movement in holding(order):
        held[movement.item] += movement.held  # type: ignore[assignment]
    for state in way:
        assert may_follow(order, state)
        if state == "received":
            order = delivered(order, {TIE: int(order.lines[0].packs * came)})
        for item, more, more_held in movements(order, state):
            on_hand[item] += more  # type: ignore[assignment]
            held[item] += more_held  # type: ignore[assignment]
        order = replace(order, state=state)
    line = order.lines[0]
    received = (line.received or 0) * line.pack_of
    went = line.from_stock + min(line.to_buy, Decimal(received)) if "issued" in way else 0
    assert held[TIE] == 0
    assert on_hand[TIE] == received - went
    assert available + Decimal(on_hand[TIE]).scaleb(6) >= 0

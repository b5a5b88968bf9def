"""Sleeves: the smallest class that covers the splice and lies in a tray."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.domain.catalogue import Bank
from service.planning.sleeves import choose_sleeve, covering_length_mm, tray_takes
from tests.planning.entries import sleeve, tray

_TRAY = tray(banks=(Bank(2, {"ribbon-12": 3, "ribbon-24": 2, "single": 6}),), sleeve_length_max_mm=45.0)
_SMALL = sleeve(code="rs-8", fibres=8)
_TWELVE = sleeve(code="rs-12", fibres=12)
_LARGE = sleeve(code="rs-24", fibres=24, slot_kind="ribbon-24")


@pytest.mark.parametrize(("fibres", "code"), [(4, "rs-8"), (8, "rs-8"), (9, "rs-12"), (12, "rs-12"), (16, "rs-24")])
def test_the_smallest_class_that_takes_the_fibres_is_chosen(fibres: int, code: str) -> None:
    """Six go in an eight, sixteen in a twenty-four (trade practice, from memory)."""
    choice = choose_sleeve("ribbon", fibres, 10, 6, [_LARGE, _TWELVE, _SMALL], [_TRAY])
    assert choice.sleeve is not None and choice.sleeve.code == code
    assert choice.reason is None


def test_a_class_that_is_too_short_gives_way_to_a_larger_one() -> None:
    """Where the twelve does not cover the bare length, the twenty-four that does is taken."""
    short = sleeve(code="rs-12", length_mm=30.0)
    choice = choose_sleeve("ribbon", 12, 10, 6, [short, _LARGE], [_TRAY])
    assert choice.sleeve == _LARGE


def test_a_sleeve_must_cover_bare_glass_and_coating_at_each_end() -> None:
    """Twice 10 mm of cleave and twice 6 mm of overlap are 32 mm: 32 mm will do, 31.9 mm will not."""
    assert covering_length_mm(10, 6) == 32
    assert choose_sleeve("ribbon", 12, 10, 6, [sleeve(length_mm=32.0)], [_TRAY]).sleeve is not None
    short = [sleeve(length_mm=25.0), sleeve(length_mm=31.9), sleeve(length_mm=30.0)]
    reason = choose_sleeve("ribbon", 12, 10, 6, short, [_TRAY]).reason
    assert reason is not None
    assert (reason.limit, reason.need, reason.have, reason.unit) == ("sleeve_length", 32, 31.9, "mm")


def test_a_sleeve_longer_than_the_trays_slot_is_not_taken() -> None:
    """The shortest that covers has 60 mm and the roomiest slot 45 mm: the reason tells both."""
    long = [sleeve(code="l", length_mm=70.0), sleeve(code="m", length_mm=60.0), sleeve(code="s", length_mm=25.0)]
    narrow = tray(sleeve_length_max_mm=30.0)
    reason = choose_sleeve("ribbon", 12, 10, 6, long, [narrow, _TRAY, narrow]).reason
    assert reason is not None
    assert (reason.limit, reason.need, reason.have) == ("sleeve_length", 60, 45)


def test_a_slot_of_another_kind_is_no_room_for_the_sleeve() -> None:
    """A sleeve that just covers is held against the 30 mm of its own slots, not against roomier ones of others."""
    other = Bank(1, {"single": 6})
    trays = [
        tray(sleeve_length_max_mm=30.0),
        tray(banks=(other,), sleeve_length_max_mm=60.0),
        tray(banks=(other,), sleeve_length_max_mm=None),
    ]
    reason = choose_sleeve("ribbon", 12, 10, 6, [sleeve(length_mm=32.0)], trays).reason
    assert reason is not None
    assert (reason.limit, reason.need, reason.have) == ("sleeve_length", 32, 30)


def test_a_tray_without_a_limit_takes_any_length() -> None:
    """Where the catalogue names no longest sleeve, none is too long."""
    assert tray_takes(tray(), sleeve(length_mm=60.0))
    assert not tray_takes(_TRAY, sleeve(length_mm=60.0))


def test_a_tray_without_the_slot_kind_takes_no_such_sleeve() -> None:
    """Neither a kind that no bank offers nor one of which it gives no slots."""
    assert not tray_takes(_TRAY, sleeve(slot_kind="ribbon-16"))
    assert not tray_takes(tray(banks=(Bank(1, {"ribbon-12": 0}),)), sleeve())
    assert not tray_takes(tray(banks=(Bank(0, {"ribbon-12": 6}),)), sleeve())


def test_without_a_slot_for_the_class_the_reason_names_the_largest_there_is() -> None:
    """Twenty-four fibres, and slots for twelve at most."""
    reason = choose_sleeve("ribbon", 24, 10, 6, [_SMALL, _TWELVE, _LARGE], [tray()]).reason
    assert reason is not None
    assert (reason.limit, reason.need, reason.have, reason.unit) == ("slot_kind", 24, 12, "fibres")


def test_a_ribbon_sleeve_is_no_sleeve_for_a_single_fibre() -> None:
    """Forms are not mixed; without any of the form the largest class is 0."""
    reason = choose_sleeve("single", 1, 10, 6, [_TWELVE], [_TRAY]).reason
    assert reason is not None
    assert (reason.limit, reason.have) == ("slot_kind", 0)
    assert reason.text == "no tray has a slot for a sleeve that takes a single fibre; no such sleeve has a slot"
    single = sleeve(code="ss-60", form="single", fibres=1, slot_kind="single", length_mm=45.0)
    assert choose_sleeve("single", 1, 10, 6, [_TWELVE, single], [_TRAY]).sleeve == single


def test_of_equal_classes_the_cheapest_sleeve_is_taken() -> None:
    """By the price of one sleeve, not of a pack."""
    dear = sleeve(code="a", pack_of=10, price=Decimal("10.00"))
    cheap = sleeve(code="b", pack_of=100, price=Decimal("50.00"), length_mm=45.0)
    assert choose_sleeve("ribbon", 12, 10, 6, [dear, cheap], [_TRAY]).sleeve == cheap


def test_prices_do_not_decide_unless_all_have_one_in_one_currency() -> None:
    """With a price missing, or two currencies, the shortest is taken, and then the first by code."""
    dear = sleeve(code="b", price=Decimal("10.00"))
    unpriced = sleeve(code="c", length_mm=45.0)
    foreign = sleeve(code="a", price=Decimal("1.00"), currency="CHF", length_mm=45.0)
    assert choose_sleeve("ribbon", 12, 10, 6, [unpriced, dear], [_TRAY]).sleeve == dear
    assert choose_sleeve("ribbon", 12, 10, 6, [foreign, dear], [_TRAY]).sleeve == dear
    assert choose_sleeve("ribbon", 12, 10, 6, [sleeve(code="z"), sleeve(code="y")], [_TRAY]).sleeve == sleeve(code="y")

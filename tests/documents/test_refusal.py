"""Remedies and parts are written with what they have, and nothing else."""

from __future__ import annotations

from decimal import Decimal

from service.documents.refusal import largest_part_to, remedy_to
from service.domain.refusal import LargestPart, LeftOver, PortKit, Remedy


def test_a_cost_is_text_with_two_decimals_and_a_currency() -> None:
    """Also one below 0."""
    document = remedy_to(Remedy("closure", "low", True, "take low", ("low",), None, Decimal("-12.5"), "EUR", True))
    assert (document["cost"], document["currency"], document["buys"]) == ("-12.50", "EUR", True)
    assert document["names"] == ["low"] and "amount" not in document


def test_what_a_remedy_does_not_have_is_left_out() -> None:
    """A rule costs nothing."""
    document = remedy_to(Remedy("reserve", "10", True, "keep 10 %", amount=10))
    assert document == {
        "change": "reserve", "to": "10", "verified": True, "text": "keep 10 %", "amount": 10, "buys": False,
    }  # fmt: skip


def test_a_port_kit_has_its_range() -> None:
    """Whole millimetres are written whole."""
    document = remedy_to(Remedy("ports", "x", True, "kit", buys=True, kit=PortKit(2, 3.4, 9.0, ("D", "E"))))
    assert document["port"] == {"entries": 2, "od_min_mm": 3.4, "od_max_mm": 9, "cables": ["D", "E"]}


def test_what_is_left_over_names_ribbons_or_fibres() -> None:
    """By the form of the splice."""
    ribbons = LeftOver(3, 1, 2, 6, "ribbon", 12, None, "A", 2, "11-12", "B", 1, "5-6")
    fibres = LeftOver(4, 2, 1, 1, "single", 1, "lease", "A", 3, "30", "C", 1, "2")
    document = largest_part_to(LargestPart("dome", 20, 22, False, (ribbons, fibres), ("C",)))
    assert (document["splices"], document["at_most"], document["proven"]) == (20, 22, False)
    assert document["left_over"][0]["from"] == {"cable": "A", "tube": 2, "ribbons": "11-12"}
    assert document["left_over"][1]["to"] == {"cable": "C", "tube": 1, "fibres": "2"}
    assert document["left_over"][1]["joint"] == "/joints/2"
    assert document["cables_left_out"] == ["C"]

"""Published macrobending limits, and the loss of stored turns that follows from them."""

from __future__ import annotations

from decimal import Decimal

import pytest

from service.planning.bend import loss_bound_db
from service.standards.bending import rows

# (radius mm, turns, dB at 1550 nm, dB at 1625 nm)
_READ = {
    # G.652 as restated in public training text (secondary).
    "G.652.D": [("30", 100, "0.1", "0.1")],
    # G.657 table as restated in public training text (secondary), for the four below.
    "G.657.A1": [("15", 10, "0.25", "1.0"), ("10", 1, "0.75", "1.5")],
    "G.657.A2": [("15", 10, "0.03", "0.1"), ("10", 1, "0.1", "0.2"), ("7.5", 1, "0.5", "1.0")],
    "G.657.B2": [("15", 10, "0.03", "0.1"), ("10", 1, "0.1", "0.2"), ("7.5", 1, "0.5", "1.0")],
    # The last row of B3 from memory (high confidence).
    "G.657.B3": [("10", 1, "0.03", "0.1"), ("7.5", 1, "0.08", "0.25"), ("5", 1, "0.15", "0.45")],
}
# Macrobending clauses from memory (high confidence).
_REMEMBERED = {"G.652.B": "0.1", "G.654.E": "0.1", "G.655.C": "0.5", "G.655.D": "0.5", "G.655.E": "0.5"}


@pytest.mark.parametrize("category", sorted(_READ))
def test_the_table_is_the_published_one(category: str) -> None:
    """Every radius, number of turns and limit."""
    expected = [(Decimal(r), turns, Decimal(a), Decimal(b)) for r, turns, a, b in _READ[category]]
    assert [(row.radius_mm, row.turns, row.db_1550, row.db_1625) for row in rows(category)] == expected


@pytest.mark.parametrize("category", sorted(_REMEMBERED))
def test_rows_from_memory_are_a_hundred_turns_at_thirty_mm(category: str) -> None:
    """A limit at 1625 nm alone."""
    (row,) = rows(category)
    assert (row.radius_mm, row.turns, row.db_1550) == (30, 100, None)
    assert row.db_1625 == Decimal(_REMEMBERED[category])


@pytest.mark.parametrize(
    ("category", "radius_mm", "turns", "at_1625"),
    [
        ("G.652.D", 30, 6, 0.006),  # three turns a side
        ("G.657.A1", 15, 8, 0.80),  # four turns a side: why 15 mm is not right for A1 in quantity
        ("G.657.A2", 15, 8, 0.08),  # four turns a side
    ],
)
def test_stored_turns_add_no_more_than_their_share_of_the_limit(
    category: str, radius_mm: float, turns: int, at_1625: float
) -> None:
    """Computed from the published limits."""
    assert loss_bound_db(category, radius_mm, turns)["1625"] == at_1625

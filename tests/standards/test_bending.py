"""Bending: the table of added loss and the storage policy hang together."""

from __future__ import annotations

import itertools

import pytest

from service.standards.bending import MACROBEND, STORAGE_RADIUS_MM, STORAGE_RADIUS_UNKNOWN_MM, rows


@pytest.mark.parametrize("category", sorted(MACROBEND))
def test_rows_stand_from_the_largest_radius_down(category: str) -> None:
    """A smaller radius never allows less loss a turn, at either wavelength."""
    for wide, tight in itertools.pairwise(rows(category)):
        assert wide.radius_mm > tight.radius_mm
        for wavelength in ("db_1550", "db_1625"):
            assert getattr(wide, wavelength) / wide.turns <= getattr(tight, wavelength) / tight.turns


@pytest.mark.parametrize("category", sorted(MACROBEND))
def test_a_longer_wave_is_never_bounded_tighter(category: str) -> None:
    """Bends lose more at 1625 nm than at 1550 nm."""
    for row in rows(category):
        assert row.db_1550 is None or (row.db_1625 is not None and row.db_1550 <= row.db_1625)


@pytest.mark.parametrize("category", sorted(STORAGE_RADIUS_MM))
def test_fibre_is_stored_wider_than_the_tightest_test(category: str) -> None:
    """The storage radius is no smaller than the smallest tabulated one, and no larger than that of unknown fibre."""
    tightest = float(rows(category)[-1].radius_mm)
    assert tightest <= STORAGE_RADIUS_MM[category] <= STORAGE_RADIUS_UNKNOWN_MM
    assert category == "G.652.D" or tightest < STORAGE_RADIUS_MM[category]


def test_a_category_without_a_table_has_no_rows() -> None:
    """Nothing is made up for it."""
    assert rows("house fibre") == ()


def test_every_row_names_its_source() -> None:
    """Text and status stand beside each."""
    assert all(row.source.text and row.source.status for table in MACROBEND.values() for row in table)

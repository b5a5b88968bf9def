"""Bend: the storage radius by category, and the bound on the loss of stored turns."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.planning.bend import categories_for, loss_bound_db, required_radius_mm
from service.standards.bending import MACROBEND


@pytest.mark.parametrize(
    ("category", "radius"),
    [("G.652.D", 30.0), ("G.657.A1", 20.0), ("G.657.A2", 15.0), ("G.657.B2", 15.0), ("G.657.B3", 15.0)],
)
def test_each_category_has_its_storage_radius(category: str, radius: float) -> None:
    """The shipped policy (from memory): 30, 20 and 15 mm."""
    found, basis = required_radius_mm(category, {})
    assert found == radius
    assert category in basis


def test_unknown_fibre_is_stored_as_wide_as_any() -> None:
    """A category that the policy does not name takes 30 mm, and the basis says so."""
    found, basis = required_radius_mm("house fibre", {})
    assert found == 30.0
    assert "no listed category" in basis and "house fibre" in basis


def test_a_request_sets_its_own_radius() -> None:
    """An owner's radius goes before the policy, for listed categories and others."""
    assert required_radius_mm("G.652.D", {"G.652.D": 37.5})[0] == 37.5
    assert required_radius_mm("house fibre", {"house fibre": 12.0}) == (
        12.0,
        "storage radius for house fibre as the request sets it",
    )


def test_a_radius_is_judged_exactly_at_its_boundary() -> None:
    """30.0 mm will do for G.652.D, 29.9 mm will not, and what will do is told."""
    assert "G.652.D" in categories_for(30.0, {})
    assert categories_for(29.9, {}) == ("G.657.A1", "G.657.A2", "G.657.B2", "G.657.B3")
    assert categories_for(14.9, {}) == ()


def test_a_wider_tray_is_bounded_by_the_largest_radius_below_it() -> None:
    """A1 at 20 mm takes the row of 15 mm: ten turns at most 0.25 and 1.0 dB."""
    assert loss_bound_db("G.657.A1", 20, 10) == {"1550": 0.25, "1625": 1.0}
    assert loss_bound_db("G.657.A1", 14.9, 1) == {"1550": 0.75, "1625": 1.5}


def test_no_bound_is_given_below_the_table() -> None:
    """Under the smallest tabulated radius there is no figure, not an extrapolated one."""
    assert loss_bound_db("G.652.D", 30.0, 100) == {"1550": 0.1, "1625": 0.1}
    assert loss_bound_db("G.652.D", 29.9, 100) == {"1550": None, "1625": None}


def test_no_bound_is_given_without_a_table() -> None:
    """An unlisted category has none, and a wavelength without a limit has none either."""
    assert loss_bound_db("house fibre", 30, 4) == {"1550": None, "1625": None}
    assert loss_bound_db("G.655.C", 30, 100) == {"1550": None, "1625": 0.5}


@given(
    category=st.sampled_from(sorted(MACROBEND)),
    radius=st.integers(50, 400).map(lambda tenths: tenths / 10),
    turns=st.integers(0, 50),
)
def test_wider_bends_and_fewer_turns_never_add_loss(category: str, radius: float, turns: int) -> None:
    """The bound falls with the radius and rises with the turns, at each wavelength."""
    here, wider, more = (
        loss_bound_db(category, radius, turns),
        loss_bound_db(category, radius + 5, turns),
        loss_bound_db(category, radius, turns + 1),
    )
    for wavelength, loss in here.items():
        if loss is not None:
            assert (wider[wavelength] or 0.0) <= loss < (more[wavelength] or 0.0)

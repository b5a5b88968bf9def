"""Methods: the shipped defaults are whole, and say where their figures come from."""

from __future__ import annotations

from dataclasses import fields

import pytest

from service.domain.catalogue import Method
from service.standards.methods import PROVENANCE, SHIPPED

_FIGURES = {field.name for field in fields(Method)} - {"code", "title", "ribbon_form", "fibres", "holder", "notes"}


@pytest.mark.parametrize("form", sorted(SHIPPED))
def test_a_shipped_method_leaves_no_figure_out(form: str) -> None:
    """Whatever a catalogue's method leaves out, the shipped one has."""
    shipped = SHIPPED[form]  # type: ignore[index]
    assert shipped.ribbon_form == form
    assert all(getattr(shipped, figure) is not None for figure in _FIGURES)


def test_every_shipped_figure_names_its_source() -> None:
    """No figure without one, and no source without a figure."""
    assert set(PROVENANCE) == _FIGURES


def test_rollable_ribbon_is_stripped_two_to_three_times_as_long() -> None:
    """Common practice, no source: about 9 s, as three cycles of the flat ribbon's 3 s."""
    flat, rollable = SHIPPED["flat"], SHIPPED["rollable"]
    assert flat.strip_dwell_s is not None and rollable.strip_dwell_s is not None
    ratio = rollable.strip_dwell_s * (rollable.strip_repeats or 0) / (flat.strip_dwell_s * (flat.strip_repeats or 0))
    assert 2 <= ratio <= 3
    assert rollable.strip_dwell_s * (rollable.strip_repeats or 0) == 9

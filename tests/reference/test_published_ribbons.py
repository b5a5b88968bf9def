"""Published outline of fibre ribbons."""

from __future__ import annotations

import pytest

from service.standards.ribbons import extreme_fibres_um, height_um, width_um


def test_a_ribbon_of_twelve_has_the_published_outline() -> None:
    """TEC G/OFC-05/01 (July 2000) as restated on a slide: W 3220, H 360, extreme fibres 2882 µm at most."""
    assert (width_um(12), height_um(), extreme_fibres_um(12)) == (3220, 360, 2882)


@pytest.mark.parametrize(("fibres", "apart_um"), [(4, 786), (8, 1834), (12, 2882)])
def test_extreme_fibres_lie_as_far_apart_as_published(fibres: int, apart_um: int) -> None:
    """IEC 60794-1-31 and GR-20 maxima, from memory (high confidence) for 4 and 8."""
    assert extreme_fibres_um(fibres) == apart_um


@pytest.mark.parametrize(("fibres", "apart_um"), [(6, 1310), (10, 2358)])
def test_the_rule_gives_the_sizes_between(fibres: int, apart_um: int) -> None:
    """(n - 1) x 262 µm, computed."""
    assert extreme_fibres_um(fibres) == apart_um

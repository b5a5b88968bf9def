"""Bundles are named by the ribbons, fibres, tubes and cables that a crew sees."""

from __future__ import annotations

from service.domain.splices import RibbonEnd
from service.planning.mending.named import ends_named, numbers_of
from tests.planning.mending.points import straight, trial_of


def test_runs_become_ranges_and_halves_count_once() -> None:
    """1, 2, 3 and 7; both halves of 4."""
    assert numbers_of([RibbonEnd("A", n) for n in (1, 2, 3, 7)], "ribbon") == "1-3,7"
    assert numbers_of([RibbonEnd("A", 4, half=1), RibbonEnd("A", 4, half=2)], "ribbon") == "4"
    assert numbers_of([RibbonEnd("A", 1, fibre=n) for n in (5, 6)], "single") == "5-6"


def test_a_bundle_is_named_by_both_its_ends() -> None:
    """The second bundle of a straight joint: ribbons 7 to 12 of tube 2, in tube 1 of the other cable."""
    bundle = trial_of(straight(12)).work.bundles[1]
    assert ends_named(bundle, bundle.splices) == "ribbons 7-12 of A (tube 2) to 7-12 of B (tube 1)"
    assert ends_named(bundle, bundle.splices[:1]) == "ribbon 7 of A (tube 2) to 7 of B (tube 1)"

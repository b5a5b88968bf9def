"""A proof is told in the words of the catalogue."""

from __future__ import annotations

from service.planning.plan import plan_splice_point
from service.planning.wording import proof_in_words
from tests.small_catalogue import request_for, ribbon_joint, small_catalogue


def test_slot_kinds_and_trays_are_named() -> None:
    """Numbers of kinds become codes; other numbers stay."""
    method = (
        "cost: bundles weighed with parameter 3 of 12, kind 1 (needed 7, at most 6 with less); trays of the kinds 0, 2"
    )
    assert proof_in_words(method, ["single", "ribbon-12"], ["r6", "r12", "s24"]) == (
        "cost: bundles weighed with parameter 3 of 12, kind ribbon-12 (needed 7, at most 6 with less); "
        "trays of the kinds r6, s24"
    )


def test_the_proof_of_a_plan_names_the_bound_with_its_figures() -> None:
    """Twelve ribbons want twelve slots, and one tray of twelve less gives none."""
    request = request_for({"A": "flat-288", "B": "roll-288"}, [ribbon_joint("A", "1-12", "B", "1-12")])
    proof = plan_splice_point(request, small_catalogue()).proof
    assert proof is not None and "slots of kind ribbon-12 (needed 12, at most 0 with less)" in proof.method

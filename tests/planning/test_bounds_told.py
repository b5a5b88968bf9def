"""Each bound of a proof is told by what shows it, with its figures."""

from __future__ import annotations

import pytest

from service.domain.proof import ProvenBound
from service.planning.bounds_told import bounds_told
from service.planning.packing import Bounds, Evidence, solve
from service.planning.plan import plan_splice_point
from tests.planning.mending.points import CATALOGUE, straight
from tests.planning.packing.cases import FAMILIES, realistic
from tests.small_catalogue import fibre_joint, request_for, ribbon_joint

BOUNDS = Bounds(3, 3, 45, 45, 0, 0, 7, 7)


def told(evidence: Evidence, bounds: Bounds = BOUNDS) -> ProvenBound:
    """What is told of one value."""
    by_value = {each.objective: each for each in bounds_told(bounds, [evidence], ["rs", "ss"], ["t0", "t1", "t2"])}
    return by_value[evidence.value]  # type: ignore[index]


@pytest.mark.parametrize(
    ("bound", "shown_by"),
    [
        ("slots of kind 1", "slots"),
        ("slots of all kinds, each by its share of the largest tray", "all_slots"),
        ("bundles weighed by the dual feasible function u with parameter 3 of 12, kind 1", "dual_feasible_function"),
        ("bundles rounded by the dual feasible function f with parameter 5, kind 0", "dual_feasible_function"),
        ("trays of the kinds 0, 2 for the labels", "labels"),
        ("slots of kind 1, with what the labels leave idle", "labels"),
        ("whole bundles that a channel takes", "whole_bundles"),
        ("slots that whole bundles fill, kind 0", "whole_bundles"),
        ("height by fillings of whole trays, priced", "fillings"),
        ("some weight that is not known here", "measure"),
    ],
)
def test_a_measure_is_told_by_its_kind(bound: str, shown_by: str) -> None:
    """With its need and what less gives."""
    found = told(Evidence("cost", bound, 29, 24))
    assert (found.shown_by, found.need, found.most_with_less) == (shown_by, 29, 24)


def test_kinds_functions_and_trays_have_members_of_their_own() -> None:
    """By the codes of the catalogue."""
    function = told(
        Evidence("cost", "bundles weighed by the dual feasible function u with parameter 3 of 12, kind 1", 7, 6)
    )
    assert (function.slot_kind, function.function, function.parameter) == ("ss", "u", 3)
    assert told(Evidence("cost", "trays of the kinds 0, 2 for the labels", 4, 3)).trays == ("t0", "t2")
    assert told(Evidence("cost", "x", nodes=12, solver=True)).solver_used


def test_what_follows_an_unproven_value_says_what_holds_for_any_packing() -> None:
    """Cost not proven: nothing was looked into behind it."""
    bounds = bounds_told(Bounds(3, 2, 45, 0, 1, 0, 9, 7), [Evidence("cost", "x", nodes=5)], [], [])
    assert [each.shown_by for each in bounds] == ["exhausted", "trivial", "trivial", "uncut"]


def test_the_proof_of_a_plan_tells_need_and_what_less_gives() -> None:
    """Thirteen ribbons: two trays of twelve slots give 24, one gives 12."""
    proof = plan_splice_point(straight(13, "dome-48"), CATALOGUE).proof
    assert proof is not None and not proof.solver_used
    cost = proof.bounds[0]
    assert (cost.objective, cost.value, cost.lower_bound, cost.shown_by) == ("cost", 2, 2, "slots")
    assert (cost.slot_kind, cost.need, cost.most_with_less) == ("ribbon-12", 13, 12)
    assert [bound.value == bound.lower_bound for bound in proof.bounds] == [True] * 4


def test_by_price_the_cost_is_told_in_hundredths() -> None:
    """As in the certificate."""
    joints = [ribbon_joint("A", "1-7", "B", "1-7"), fibre_joint("B", "265-268", "D", "1-4")]
    request = request_for({"A": "flat-288", "B": "roll-288", "D": "bare-8"}, joints, minimise="price")
    proof = plan_splice_point(request, CATALOGUE).proof
    assert proof is not None and proof.cost is not None
    assert proof.bounds[0].value == int(proof.cost * 100)


@pytest.mark.parametrize("family", FAMILIES)
def test_no_bound_of_the_core_goes_without_a_name(family: str) -> None:
    """What shows a bound is never just some measure: whoever adds one gives it a name here."""
    for seed in range(6):
        problem = realistic(family, seed)
        packing = solve(problem, node_limit=3_000)
        if packing.bounds is not None:
            kinds = [f"k{n}" for n in range(problem.slot_kinds)]
            trays = [f"t{n}" for n in range(len(problem.kinds))]
            found = bounds_told(packing.bounds, packing.evidence, kinds, trays)
            assert [each.text for each in found if each.shown_by == "measure"] == []

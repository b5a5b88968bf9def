"""The largest part that fits, against trying every part."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.domain.plan import Reason
from service.domain.refusal import LargestPart
from service.domain.request import Joint, PlanRequest, Reserve
from service.planning.judge import judge
from service.planning.mending.divisible import may_be_divided
from service.planning.mending.largest_part import largest_part
from service.planning.mending.parts import part_of
from service.planning.mending.trial import Trial
from service.planning.plan import plan_splice_point
from service.planning.relaxing import EXPLAINING_NODES
from tests.planning.mending.points import CATALOGUE, straight, trial_of, with_stack
from tests.small_catalogue import fibre_joint, request_for, ribbon_joint

STACK = (Reason("stack", 2, 1, "mm", "too low"),)


def most_by_trying(trial: Trial, whole: bool) -> int:
    """The most splices of any part, every number of every bundle tried."""
    bundles = trial.work.bundles
    demand = judge(
        trial.closure, trial.request, trial.work, trial.catalogue, trial.stowage, trial.cables, EXPLAINING_NODES
    ).demand
    choices = [
        range(len(b.splices) + 1) if not whole or may_be_divided(demand, place) else (0, len(b.splices))
        for place, b in enumerate(bundles)
    ]
    best = 0
    for part in sorted(product(*choices), key=lambda part: -sum(part)):
        if sum(part) > best and trial.fits(work=part_of(trial.work, tuple(part))):
            best = sum(part)
            break
    return best


@st.composite
def points(draw: st.DrawFn) -> Trial:
    """Up to four bundles of up to four splices, ribbons and fibres, in a dome of one to three positions."""
    joints: list[Joint] = []
    ribbon, fibre = 1, 1
    for _ in range(draw(st.integers(1, 4))):
        label = draw(st.sampled_from([None, None, "lease", "rail"]))
        if draw(st.integers(0, 3)):
            run = draw(st.integers(1, 4))
            first = ribbon if (ribbon - 1) % 6 + run <= 6 else (ribbon - 1) // 6 * 6 + 7
            ranges = f"{first}-{first + run - 1}"
            joints.append(ribbon_joint("A", ranges, "B", ranges, keep_apart=label))
            ribbon = first + run
        else:
            run = draw(st.integers(1, 4))
            joints.append(
                fibre_joint("C", f"{fibre}-{fibre + run - 1}", "D", f"{fibre}-{fibre + run - 1}", keep_apart=label)
            )
            fibre += run
    request = request_for(
        {"A": "flat-288", "B": "roll-288", "C": "loose-96", "D": "loose-96"},
        joints,
        ("dome-24",),
        split=draw(st.sampled_from(["never", "oversize", "free"])),
        reserve=Reserve(draw(st.sampled_from([0.0, 30.0, 120.0]))),
    )
    slots = draw(st.integers(1, 4))
    trays = {
        **CATALOGUE.trays,
        "r6": replace(CATALOGUE.trays["r6"], banks=(replace(CATALOGUE.trays["r6"].banks[0],
                      slots={"ribbon-12": slots, "single": slots + 1}),)),
        "s24": replace(CATALOGUE.trays["s24"], banks=(replace(CATALOGUE.trays["s24"].banks[0],
                       slots={"single": slots + 1}),)),
    }  # fmt: skip
    catalogue = with_stack(replace(CATALOGUE, trays=trays), "dome-24", draw(st.sampled_from([12.0, 24.0, 33.0])))
    return trial_of(request, catalogue)


@given(points(), st.booleans())
@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
def test_it_is_the_largest_by_trying_every_part(trial: Trial, whole: bool) -> None:
    """What it holds fits, no more is claimed than is true, and these small ones are all proven."""
    if trial.fits():
        return
    part = largest_part(trial, STACK, whole)
    most = most_by_trying(trial, whole)
    assert part.splices == most
    assert part.proven and part.at_most == most
    left = {rest.bundle - 1: rest.splices for rest in part.left_over}
    kept = tuple(len(b.splices) - left.get(place, 0) for place, b in enumerate(trial.work.bundles))
    assert sum(kept) == most
    assert not most or trial.fits(work=part_of(trial.work, kept))


def told(request: PlanRequest) -> LargestPart:
    """The part that the plan tells."""
    part = plan_splice_point(request, CATALOGUE).largest_part
    assert part is not None
    return part


def test_what_is_left_over_is_named() -> None:
    """24 ribbons, and 18 slots in three trays of six: the last tube of A is left over, all of it."""
    part = told(straight(24))
    assert (part.splices, part.at_most, part.proven, part.cables) == (18, 18, True, ())
    (left,) = part.left_over
    assert (left.bundle, left.joint, left.splices, left.of) == (4, 0, 6, 6)
    assert (left.from_cable, left.from_tube, left.from_range) == ("A", 4, "19-24")
    assert (left.to_cable, left.to_tube, left.to_range) == ("B", 2, "19-24")


def test_what_divides_bundles_stands_beside_what_does_not() -> None:
    """18 slots with 20 % of what is laid kept free: 15 and 3, or two whole bundles of six."""
    plan = plan_splice_point(straight(24, reserve=Reserve(20.0)), CATALOGUE)
    assert plan.largest_part is not None and plan.largest_part.splices == 15
    assert plan.largest_part_undivided is not None and plan.largest_part_undivided.splices == 12
    assert plan.largest_part.proven and plan.largest_part_undivided.proven


def test_cables_stay_out_where_entries_are_too_few() -> None:
    """Six drops and a feeder for four round ports: three drops stay out, none of them the one with most splices."""
    cables = {"F": "flat-288", **{f"D{n}": "drop-24" for n in range(6)}}
    joints = [ribbon_joint("F", str(n + 1), f"D{n}", "1") for n in range(5)]
    joints.append(ribbon_joint("F", "7-8", "D5", "1-2"))
    part = told(request_for(cables, joints, ("dome-24",)))
    assert part.splices == 4 and part.proven
    assert part.cables == ("D2", "D3", "D4")
    assert [left.from_range for left in part.left_over] == ["3", "4", "5"]


def test_no_more_is_claimed_than_was_looked_at() -> None:
    """Without search steps nothing is found, and nothing is ruled out."""
    part = largest_part(trial_of(straight(24), nodes=0), STACK)
    assert (part.splices, part.at_most, part.proven) == (0, 24, False)


def test_a_cable_of_which_nothing_is_spliced_is_the_first_to_stay_out() -> None:
    """Five cables for four entries, the fifth without a joint: all splices fit without it."""
    cables = {"A": "flat-288", "B": "roll-288", "C": "drop-24", "D": "drop-24", "E": "drop-24"}
    joints = [ribbon_joint("A", "1-2", "B", "1-2"), ribbon_joint("A", "3", "C", "1"), ribbon_joint("A", "4", "D", "1")]
    plan = plan_splice_point(request_for(cables, joints, ("dome-24",)), CATALOGUE)
    assert plan.largest_part is not None
    assert (plan.largest_part.splices, plan.largest_part.cables, plan.largest_part.left_over) == (4, ("E",), ())
    assert "E" in next(remedy.text for remedy in plan.remedies if remedy.change == "splices")

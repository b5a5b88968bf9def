"""What holds for every plan: drawn requests over the small catalogue (Hypothesis)."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.domain.plan import Plan
from service.domain.request import Joint, PlanRequest, Reserve
from service.planning.plan import check_fit, plan_splice_point
from tests.small_catalogue import fibre_joint, request_for, ribbon_joint, small_catalogue

CATALOGUE = small_catalogue()
CABLES = {"A": "flat-288", "B": "roll-288", "C": "flat-288", "D": "loose-96", "E": "drop-24"}

drawn = settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@st.composite
def joints(draw: st.DrawFn) -> list[Joint]:
    """Joints that use every ribbon end once at most: runs of A and C to B and D, and single fibres."""
    found: list[Joint] = []
    at = {"A": 1, "B": 1, "C": 1, "D": 1}
    last = {"A": 24, "B": 22, "C": 24, "D": 7}
    for _ in range(draw(st.integers(1, 6))):
        one = draw(st.sampled_from(["A", "C"]))
        other = draw(st.sampled_from(["B", "D"]))
        run = draw(st.integers(1, 8))
        run = min(run, last[one] - at[one] + 1, last[other] - at[other] + 1)
        if run < 1:
            continue
        label = draw(st.sampled_from([None, None, "lease", "rail"]))
        ranges = f"{at[one]}-{at[one] + run - 1}", f"{at[other]}-{at[other] + run - 1}"
        found.append(ribbon_joint(one, ranges[0], other, ranges[1], keep_apart=label))
        at[one] += run
        at[other] += run
    if draw(st.booleans()) or not found:
        fibres = draw(st.integers(1, 24))
        found.append(fibre_joint("B", f"265-{264 + fibres}", "E", f"1-{fibres}"))
    return found


@st.composite
def requests(draw: st.DrawFn, split: str | None = None) -> PlanRequest:
    """A request over those joints, by drawn rules, into the large closure."""
    return request_for(
        CABLES,
        draw(joints()),
        ("line-96",),
        keep=draw(st.sampled_from(["tube", "joint", "none"])),
        split=split or draw(st.sampled_from(["never", "oversize", "free"])),
        reserve=Reserve(draw(st.sampled_from([0.0, 10.0, 25.0])), draw(st.sampled_from(["trays", "stack"]))),
        minimise=draw(st.sampled_from(["trays", "price"])),
    )


def placed(plan: Plan) -> Counter[tuple[object, object]]:
    """Every placed splice by its two ends."""
    return Counter((splice.from_, splice.to) for tray in plan.trays for splice in tray.splices)


@given(requests())
@drawn
def test_every_splice_lies_in_exactly_one_slot_and_every_limit_is_kept(request_: PlanRequest) -> None:
    """Each pair once, no slot twice, banks of one kind within their slots, one label a tray, stack and counts kept."""
    plan = plan_splice_point(request_, CATALOGUE)
    if not plan.fits:
        assert plan.reasons and not plan.trays
        return
    counts = placed(plan)
    assert len(counts) == plan.splices and set(counts.values()) == {1}
    closure = CATALOGUE.closures["line-96"]
    sleeves = CATALOGUE.sleeves
    for tray in plan.trays:
        model = CATALOGUE.trays[tray.tray]
        places = [(splice.bank, splice.slot) for splice in tray.splices]
        assert len(places) == len(set(places))
        for splice in tray.splices:
            bank = tray.banks[splice.bank - 1]
            assert bank.slot_kind == sleeves[splice.sleeve].slot_kind
            assert splice.slot <= bank.slots == model.single_banks()[splice.bank - 1][bank.slot_kind]
        labels = {label for splice in tray.splices if (label := _label(request_, splice.bundle, plan)) is not None}
        assert len(labels) <= 1
    assert sum(CATALOGUE.trays[tray.tray].pitch_mm for tray in plan.trays) <= closure.stack_mm
    used = Counter(tray.tray for tray in plan.trays)
    assert all(used[allowance.tray] <= allowance.most for allowance in closure.trays)
    assert all(held.free + held.later >= held.asked for held in plan.reserve)


def _label(request_: PlanRequest, bundle: int, plan: Plan) -> str | None:
    from service.planning.joints import work_of

    return work_of(request_, CATALOGUE).bundles[bundle - 1].label


@given(requests(), st.randoms(use_true_random=False))
@drawn
def test_the_order_of_the_joints_never_changes_the_count(request_: PlanRequest, random: object) -> None:
    """Trays, height and pieces are the same for any order."""
    shuffled = list(request_.joints)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    one, other = (
        plan_splice_point(request_, CATALOGUE),
        plan_splice_point(replace(request_, joints=tuple(shuffled)), CATALOGUE),
    )
    assert one.fits == other.fits
    if one.proof is not None and other.proof is not None and one.proof.optimal and other.proof.optimal:
        assert (one.proof.cost, one.proof.stack_mm, one.proof.pieces) == (
            other.proof.cost,
            other.proof.stack_mm,
            other.proof.pieces,
        )


@given(requests(), st.sampled_from(["r12", "s24"]))
@drawn
def test_removing_a_tray_kind_never_helps(request_: PlanRequest, kind: str) -> None:
    """With fewer kinds to choose from, no fewer trays and no lower price; what did not fit does not begin to."""
    closure = CATALOGUE.closures["line-96"]
    fewer = replace(closure, trays=tuple(each for each in closure.trays if each.tray != kind))
    with_all = plan_splice_point(request_, CATALOGUE)
    with_fewer = plan_splice_point(request_, replace(CATALOGUE, closures={**CATALOGUE.closures, "line-96": fewer}))
    if with_fewer.fits:
        assert with_all.fits and with_all.proof is not None and with_fewer.proof is not None
        if request_.rules.minimise == "price":
            assert (with_all.proof.cost or 0) <= (with_fewer.proof.cost or 0)
        else:
            assert with_all.proof.trays <= with_fewer.proof.trays


@given(requests(split="never") | requests(split="free"))
@drawn
def test_adding_a_splice_never_needs_fewer_trays(request_: PlanRequest) -> None:
    """Holds where the added splice cannot change which bundles may be divided: under `never` and `free`. Under
    `oversize` a bundle that outgrows the largest tray may be divided from then on, and fewer trays may do."""
    rules = replace(request_.rules, minimise="trays", reserve=Reserve(request_.rules.reserve.percent, "trays"))
    before = replace(request_, rules=rules)
    after = replace(before, joints=(*before.joints, ribbon_joint("A", "24", "C", "24")))
    if any(rng[1] >= 24 for joint in before.joints for side in (joint.from_,) if side.ribbons for rng in side.ribbons):
        return
    small, large = plan_splice_point(before, CATALOGUE), plan_splice_point(after, CATALOGUE)
    if large.fits:
        assert small.fits and small.proof is not None and large.proof is not None
        assert small.proof.trays <= large.proof.trays


@given(requests())
@drawn
def test_a_fit_check_agrees_with_the_plan(request_: PlanRequest) -> None:
    """The same verdict for the same closure."""
    assert check_fit(request_, CATALOGUE).fits == plan_splice_point(request_, CATALOGUE).fits


@given(requests())
@drawn
def test_a_proof_never_claims_more_than_its_bounds(request_: PlanRequest) -> None:
    """`optimal` means every value meets its bound; a bound never lies above its value."""
    proof = plan_splice_point(request_, CATALOGUE).proof
    if proof is None:
        return
    assert proof.lower_bound <= proof.trays
    assert proof.stack_lower_bound_mm <= proof.stack_mm
    assert proof.pieces_lower_bound <= proof.pieces
    if proof.optimal:
        assert proof.stack_lower_bound_mm == proof.stack_mm and proof.pieces_lower_bound == proof.pieces

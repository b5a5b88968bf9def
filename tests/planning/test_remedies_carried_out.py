"""Whatever a refusal offers, a request that carries it out fits: planned from the start, by all the rules."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.domain.catalogue import Catalogue, TrayAllowance
from service.domain.refusal import LargestPart, Remedy
from service.domain.request import Joint, PlanRequest, Ranges, Reserve, Side
from service.planning.mending.port_kit import with_kit
from service.planning.plan import plan_splice_point
from tests.planning.mending.points import with_stack
from tests.small_catalogue import request_for, small_catalogue
from tests.verifying.plans import CABLES, hanging, joints, limited


@st.composite
def points(draw: st.DrawFn) -> tuple[PlanRequest, Catalogue]:
    """Drawn joints and rules in a closure with little room."""
    closure = draw(st.sampled_from(["dome-24", "dome-24", "dome-48", "line-96"]))
    request = request_for(
        CABLES,
        draw(joints(express=False)),
        (closure,),
        keep=draw(st.sampled_from(["tube", "joint"])),
        split=draw(st.sampled_from(["never", "oversize", "free"])),
        reserve=Reserve(draw(st.sampled_from([0.0, 7.5, 40.0])), draw(st.sampled_from(["trays", "stack"]))),
        reach_mm=draw(st.sampled_from([900.0, 2400.0])),
        remakes=draw(st.sampled_from([2, 9])),
    )
    # Only cables that a joint touches come to the point, for the small dome has four ports.
    touched = {side.cable for joint in request.joints for side in (joint.from_, joint.to)}
    request = replace(request, cables=tuple(at for at in request.cables if at.tag in touched))
    catalogue = small_catalogue()
    if draw(st.booleans()):
        catalogue = limited(catalogue, draw(st.sampled_from([300.0, 120.0])), None)
    if closure == "line-96":
        request = replace(request, existing_trays=draw(hanging()))
    stack = draw(st.sampled_from([54.0, 72.0] if request.existing_trays else [24.0, 36.0, 54.0]))
    return request, with_stack(catalogue, closure, stack)


def carried_out(remedy: Remedy, request: PlanRequest, catalogue: Catalogue) -> tuple[PlanRequest, Catalogue] | None:
    """The request and catalogue with a remedy carried out; None where a request cannot say it."""
    rules, code = request.rules, request.closures[0]
    closure = catalogue.closures[code]
    amount = remedy.amount or 0
    if remedy.change == "reserve":
        return replace(request, rules=replace(rules, reserve=replace(rules.reserve, percent=float(amount)))), catalogue
    if remedy.change == "reach":
        return replace(request, rules=replace(rules, reach_mm=float(amount))), catalogue
    if remedy.change == "remakes":
        return replace(request, rules=replace(rules, remakes=amount)), catalogue
    if remedy.change == "split":
        return replace(request, rules=replace(rules, split="free")), catalogue
    if remedy.change == "keep_apart":
        shared = (replace(j, keep_apart=None) if j.keep_apart in remedy.names else j for j in request.joints)
        return replace(request, joints=tuple(shared)), catalogue
    if remedy.change == "closure":
        return replace(request, closures=(remedy.to,)), catalogue
    if remedy.change == "ports":
        assert remedy.kit is not None
        changed = with_kit(closure, remedy.kit)
    elif remedy.change == "tray_kind":
        tray = catalogue.trays[remedy.to]
        most = int(closure.stack_mm // tray.pitch_mm)
        changed = replace(closure, trays=(*closure.trays, TrayAllowance(tray.code, most)))
    elif remedy.change in ("stack", "tray_count"):
        pitch = catalogue.trays[remedy.to].pitch_mm
        more = remedy.change == "tray_count" or "more of that tray" in remedy.text
        trays = (replace(a, most=a.most + amount) if a.tray == remedy.to and more else a for a in closure.trays)
        higher = closure.stack_mm + (amount * pitch if remedy.change == "stack" else 0.0)
        changed = replace(closure, trays=tuple(trays), stack_mm=higher)
    else:
        return None
    return request, replace(catalogue, closures={**catalogue.closures, code: changed})


@given(points())
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
def test_each_remedy_carried_out_makes_it_fit(point: tuple[PlanRequest, Catalogue]) -> None:
    """Planned anew with the change in request or catalogue."""
    request, catalogue = point
    plan = plan_splice_point(request, catalogue)
    for remedy in plan.remedies:
        changed = carried_out(remedy, request, catalogue)
        if changed is not None:
            again = plan_splice_point(*changed)
            assert again.fits, (remedy, [reason.text for reason in again.reasons])


def numbers(ranges: Ranges) -> list[int]:
    """Ranges written out."""
    return [number for low, high in ranges for number in range(low, high + 1)]


def without(request: PlanRequest, part: LargestPart) -> PlanRequest:
    """The request with what is left over taken out of its joints."""
    out: dict[int, set[int]] = {}
    for left in part.left_over:
        gone = out.setdefault(left.joint, set())
        for run in left.from_range.split(","):
            low, _, high = run.partition("-")
            gone.update(range(int(low), int(high or low) + 1))
    found: list[Joint] = []
    for place, joint in enumerate(request.joints):
        gone = out.get(place, set())
        by_ribbon = joint.from_.ribbons is not None
        pairs = zip(numbers(_of(joint.from_)), numbers(_of(joint.to)), strict=True)
        stay = [(a, b) for a, b in pairs if a not in gone]
        if stay:
            member = "ribbons" if by_ribbon else "fibres"
            sides = [tuple((pair[number], pair[number]) for pair in stay) for number in (0, 1)]
            found.append(
                replace(
                    joint,
                    from_=replace(joint.from_, **{member: sides[0]}),  # type: ignore[arg-type]
                    to=replace(joint.to, **{member: sides[1]}),  # type: ignore[arg-type]
                )
            )
    return replace(request, joints=tuple(found))


def _of(side: Side) -> Ranges:
    ranges = side.ribbons if side.ribbons is not None else side.fibres
    assert ranges is not None
    return ranges


@given(points())
@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
def test_the_largest_part_fits_as_a_request_of_its_own(point: tuple[PlanRequest, Catalogue]) -> None:
    """Its ribbons alone are asked for; parked ends are then others, so trays without a channel are looked at."""
    request, catalogue = point
    catalogue = limited(catalogue, None, None)
    plan = plan_splice_point(request, catalogue)
    # Halves of a split ribbon cannot be asked for apart.
    if any(joint.split_ribbons for joint in request.joints):
        return
    for part in (plan.largest_part, plan.largest_part_undivided):
        if part is not None and part.splices and not part.cables:
            again = plan_splice_point(without(request, part), catalogue)
            assert again.splices == part.splices
            assert again.fits, [reason.text for reason in again.reasons]

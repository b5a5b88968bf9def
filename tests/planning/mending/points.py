"""Splice points that do not fit, and what makes a trial of them."""

from __future__ import annotations

from dataclasses import replace

from service.domain.catalogue import Catalogue
from service.domain.request import PlanRequest
from service.planning.joints import cables_by_tag, work_of
from service.planning.mending.trial import Trial
from service.planning.stowage import Stowage
from tests.small_catalogue import request_for, ribbon_joint, small_catalogue

CATALOGUE = small_catalogue()
MANY = 10**6


def trial_of(request: PlanRequest, catalogue: Catalogue = CATALOGUE, nodes: int = MANY) -> Trial:
    """A trial in the request's first closure."""
    cables = dict(cables_by_tag(request, catalogue))
    stowage = Stowage(request.rules, catalogue, {tag: cable for tag, (_, cable) in cables.items()})
    work = work_of(request, catalogue)
    return Trial(request, work, catalogue, stowage, cables, catalogue.closures[request.closures[0]], nodes)


def straight(ribbons: int, closure: str = "dome-24", **rules: object) -> PlanRequest:
    """So many ribbons straight through, in bundles of six."""
    joints = [ribbon_joint("A", f"1-{ribbons}", "B", f"1-{ribbons}")]
    return request_for({"A": "flat-288", "B": "roll-288"}, joints, (closure,), **rules)


def with_stack(catalogue: Catalogue, code: str, stack_mm: float) -> Catalogue:
    """The catalogue with another stack in one closure."""
    closure = replace(catalogue.closures[code], stack_mm=stack_mm)
    return replace(catalogue, closures={**catalogue.closures, code: closure})

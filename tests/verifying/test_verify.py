"""Every plan that the planner makes holds under a check that knows nothing of the planner."""

from __future__ import annotations

from typing import Any

from hypothesis import HealthCheck, given, settings

from service.documents.plan import plan_to
from service.planning.plan import plan_splice_point
from service.verifying import verify
from tests.planning.test_plan_properties import requests
from tests.small_catalogue import small_catalogue
from tests.verifying.judge import broken_rules
from tests.verifying.mutants import without
from tests.verifying.plans import demo_plans, plans, rich_plan

drawn = settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def test_every_plan_of_the_demo_holds_and_its_optimum_is_shown_again() -> None:
    """All 32 that fit: no breach, and each bound re-proved without the planner's search."""
    fitting = [plan for plan in demo_plans() if plan["fits"]]
    reports = [verify(plan) for plan in fitting]
    assert len(fitting) == 32
    assert [
        (plan["name"], report.breaches) for plan, report in zip(fitting, reports, strict=True) if report.breaches
    ] == []
    assert {report.bound for report in reports} == {"re-proved"}


def test_a_plan_that_does_not_fit_has_no_packing_to_check_and_says_so() -> None:
    """No breach, no bound claimed; what is checked are reasons, parts and remedies, and the notes say what is not."""
    refused = [plan for plan in demo_plans() if not plan["fits"]]
    assert len(refused) == 8
    for plan in refused:
        report = verify(plan)
        assert report.holds and report.bound == "not claimed" and len(report.checked) == 3
        assert report.notes[0] == "the plan does not fit: there is no packing to check"


@given(plans())
@drawn
def test_drawn_plans_hold(plan: dict[str, Any]) -> None:
    """With channels, entries, hanging trays, labels, split ribbons, express cables and every rule: no breach."""
    assert verify(plan).breaches == ()
    if plan["fits"]:
        assert broken_rules(plan) == []


@given(requests())
@drawn
def test_plans_of_the_planners_own_tests_hold(request_: Any) -> None:
    """The requests that the planner's properties are tested with verify as well."""
    assert verify(plan_to(plan_splice_point(request_, small_catalogue()))).breaches == ()


def test_a_plan_without_its_certificate_cannot_be_checked() -> None:
    """It is a breach, at the member that is missing."""
    (breach,) = verify(without(rich_plan(), ("certificate",))).breaches
    assert (breach.pointer, breach.text) == ("/certificate", "is missing")


def test_what_is_no_plan_at_all_is_told_and_raises_nothing() -> None:
    """An empty document, and a judged member of another kind, are breaches with their places."""
    assert [breach.pointer for breach in verify({}).breaches] == ["/fits"]
    judged = {
        "fits", "closure", "rules", "bundles", "splices", "trays", "proof", "ports", "spare_ports", "reserve",
        "sleeves", "materials", "lanes", "revisions", "certificate",
    }  # fmt: skip
    for name in judged:
        breaches = verify({**rich_plan(), name: {"x": [1]}}).breaches
        assert breaches and breaches[0].pointer.startswith(f"/{name}"), name


def test_the_report_says_what_it_did_not_look_at() -> None:
    """The limits of the check are part of its answer."""
    notes = " ".join(verify(rich_plan()).notes)
    for word in ("certificate", "lengths", "which ribbon goes to which", "materials", "cautions"):
        assert word in notes

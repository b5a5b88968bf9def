"""The plan agrees with itself: its counts, its rules and the rules that its certificate says were kept."""

from __future__ import annotations

from service.verifying.facts import Facts
from service.verifying.members import Member, escaped
from service.verifying.report import Findings


def check_rules(plan: Member, facts: Facts, findings: Findings) -> None:
    """The certificate was made under the rules of the plan."""
    rules = plan["rules"]
    for name, told, used in (
        ("split", rules["split"].text(), facts.split),
        ("reserve/in", rules["reserve"]["in"].text(), facts.reserve_in),
        ("spare_trays", rules["spare_trays"].whole(), facts.spare_trays),
    ):
        findings.expect(told == used, f"/certificate/{name}", f"the plan's rule is {told}")
    asked = rules["minimise"].one_of("trays", "price")
    if asked != facts.minimise:
        findings.expect(asked == "price", "/certificate/minimise", "the plan's rule is trays")
        findings.notes.append("the fewest trays were sought where the rules ask for the lowest price")
    if facts.minimise == "price":
        for model in facts.models.values():
            findings.expect(
                model.price is not None, f"{model.pointer}/price", "the price was made least: it must be known"
            )
    slots = rules["stored_ends"].one_of("storage", "slots") == "slots"
    for load in facts.parked:
        findings.expect((load.slot_kind is not None) == slots, f"{load.pointer}/slot_kind", "is not as the rules say")
        findings.expect(load.ends == (load.place[2] == "ribbons"), f"{load.pointer}/ribbon_ends", "is not of its kind")
    findings.checked.append("the certificate's rules are the plan's")


def check_counts(plan: Member, facts: Facts, findings: Findings) -> None:
    """Bundles, splices and the entries that the plan was made from."""
    splices = sum(bundle.size for bundle in facts.bundles)
    findings.expect(
        plan["bundles"].whole() == len(facts.bundles), "/bundles", f"there are {len(facts.bundles)} bundles"
    )
    findings.expect(plan["splices"].whole() == splices, "/splices", f"there are {splices} splices")
    closure, revisions = plan["closure"], plan["revisions"]
    code = closure["code"].text()
    due = [f"closures/{code}", *(f"trays/{c}" for c in facts.models), *(f"sleeves/{c}" for c in facts.sleeves)]
    for entry in due:
        findings.expect(revisions.has(entry), f"/revisions/{escaped(entry)}", "is missing")
    if revisions.has(due[0]):
        findings.expect(
            revisions[due[0]].whole() == closure["revision"].whole(), "/closure/revision", "is not that of revisions"
        )

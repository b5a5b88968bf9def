"""Whether the rates behind the spares are those that the rules of the plan set, or the records that it names."""

from __future__ import annotations

from collections import Counter

from service.verifying.facts import Facts, SleeveModel
from service.verifying.members import Member
from service.verifying.report import Findings

_NEAR = 1e-9


def check_rates(plan: Member, facts: Facts, splices: Counter[str], findings: Findings) -> None:
    """The rates behind the spares are those that the rules set, where they set any, of just the splices there are."""
    rules = plan["rules"]
    rework, fixed = rules.maybe("rework"), rules.maybe("rework_sleeve")
    from_records = rework is not None and rework.value == "recorded"
    findings.expect(
        plan.has("recorded") == from_records, "/recorded", "is there just where the rules learn the rate from records"
    )
    if fixed is None and not from_records:
        fixed = rework
    fibre = None if fixed is not None or from_records else rules.maybe("rework_fibre")
    fibres: dict[str, set[int]] = {}
    for bundle in facts.bundles:
        fibres.setdefault(bundle.sleeve, set()).add(bundle.fibres)
    for code, model in facts.sleeves.items():
        findings.expect(
            sum(group.splices for group in model.rework) == splices[code],
            f"{model.pointer}/rework",
            f"the rates are of other than the {splices[code]} splices with this sleeve",
        )
        if fixed is None and from_records:
            _check_learned(plan, model, findings)
            continue
        due: set[float] = set()
        if fixed is not None:
            due = {fixed.number()}
        elif fibre is not None:
            due = {1 - (1 - fibre.number()) ** n for n in fibres.get(code, set())}
        findings.expect(
            all(group.learned is None for group in model.rework),
            f"{model.pointer}/rework",
            "a rate is learned that the rules do not ask to be",
        )
        if due:
            findings.expect(
                all(min(abs(group.rate - each) for each in due) < _NEAR for group in model.rework),
                f"{model.pointer}/rework",
                "the rates are not those of the rules",
            )


def _check_learned(plan: Member, model: SleeveModel, findings: Findings) -> None:
    """Each rate rests on the records that the plan names for its form and prior, counting what cost the sleeve."""
    named = {
        (
            each["form"].text(),
            each["prior"].number(),
            each["prior_joints"].whole(1),
            each["joints"].whole(),
            each["remakes_after_shrinking"].whole(),
        )
        for each in plan["recorded"].each()
    }
    for group in model.rework:
        rate = group.learned
        findings.expect(
            rate is not None and (rate.form, rate.prior, rate.prior_joints, rate.joints, rate.remakes) in named,
            f"{model.pointer}/rework",
            "a rate does not rest on the records that the plan names",
        )

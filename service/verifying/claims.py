"""What the proof claims, against what the trays of the plan come to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.verifying.dividing import pieces_of
from service.verifying.facts import Facts
from service.verifying.laid import LaidTray
from service.verifying.members import Malformed, Member
from service.verifying.report import Findings


@dataclass(frozen=True, slots=True)
class Claims:
    """The values that the plan reaches, and the least that it claims for each, in the certificate's units.

    ``cost`` is new trays, or their price in hundredths.
    """

    optimal: bool
    cost: int
    cost_bound: int
    height: int
    height_bound: int
    opened: int
    opened_bound: int
    pieces: int
    pieces_bound: int


def check_claims(plan: Member, trays: Sequence[LaidTray], facts: Facts, findings: Findings) -> Claims:
    """Values are those of the trays, no bound passes its value, and ``optimal`` says that all bounds are met."""
    proof = plan["proof"]
    new = [facts.models[tray.model] for tray in trays if tray.new]
    height = sum(model.pitch for model in new)
    opened = sum(1 for tray in trays if not tray.new and tray.opened)
    pieces = sum(pieces_of(trays).values())
    by_price = facts.minimise == "price"
    for name, value in (("trays", len(new)), ("opened", opened), ("pieces", pieces)):
        findings.expect(proof[name].whole() == value, f"/proof/{name}", f"the plan has {value}")
    findings.expect(
        abs(proof["stack_mm"].number() - height / facts.units_per_mm) <= 0.05 + 1e-9,
        "/proof/stack_mm",
        f"the new trays are {height / facts.units_per_mm:g} mm high",
    )
    pairs = [("trays", "lower_bound"), ("opened", "opened_lower_bound"), ("pieces", "pieces_lower_bound")]
    bounds = {bound: proof[bound].whole() for _, bound in pairs}
    height_bound = proof["stack_lower_bound_mm"].number()
    for name, bound in pairs:
        findings.expect(bounds[bound] <= proof[name].whole(), f"/proof/{bound}", f"is above {name}")
    findings.expect(height_bound <= proof["stack_mm"].number(), "/proof/stack_lower_bound_mm", "is above stack_mm")
    met = height_bound == proof["stack_mm"].number()
    compared = [pair for pair in pairs if pair[0] != "trays" or not by_price]
    met = met and all(bounds[bound] == proof[name].whole() for name, bound in compared)
    cost, cost_bound = len(new), bounds["lower_bound"]
    if by_price:
        cost = sum(model.price or 0 for model in new)
        said, cost_bound = proof["cost"].cents(), proof["cost_lower_bound"].cents()
        findings.expect(said == cost, "/proof/cost", f"the new trays cost {cost / 100:.2f}")
        findings.expect(cost_bound <= said, "/proof/cost_lower_bound", "is above cost")
        met = met and cost_bound == said
        findings.expect(
            bounds["lower_bound"] == min(len(new), 1), "/proof/lower_bound", "the price was made least, not the trays"
        )
    else:
        for name in ("cost", "cost_lower_bound"):
            if proof.has(name):
                raise Malformed(f"/proof/{name}", "the price was not made least")
    optimal = proof["optimal"].flag()
    findings.expect(met or not optimal, "/proof/optimal", "a bound is below its value: that is not proven least")
    if facts.units_per_mm <= 10:
        findings.expect(optimal or not met, "/proof/optimal", "every bound meets its value, so it is proven least")
    findings.checked.append("the proof's figures: trays, height, hanging trays opened, pieces, and their bounds")
    # A bound that was rounded for printing is taken downwards; ``check_bounds`` puts the exact one in its place.
    claimed = height if height_bound == proof["stack_mm"].number() else int(height_bound * facts.units_per_mm)
    return Claims(
        optimal, cost, cost_bound, height, claimed, opened, bounds["opened_lower_bound"], pieces,
        bounds["pieces_lower_bound"],
    )  # fmt: skip

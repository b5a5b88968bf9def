"""The lanes of every fibre: spliced, cut and parked, or uncut, worked out again from the ends that are spliced."""

from __future__ import annotations

from collections import Counter

from service.verifying.ends import Taken
from service.verifying.facts import CableModel, Facts
from service.verifying.members import Member
from service.verifying.report import Findings


def parked_in(cable: CableModel, taken: dict[str, set[int]], tube: int) -> tuple[int, list[int]]:
    """What of one opened tube is to be parked: fibre ends in all, and the sizes of the ribbons that are parked whole.

    A cable that ends here is cut through, so all that is not spliced is parked. Of an express cable only what is
    spliced at one end is cut, and its other end is parked. What was cut before is parked already.
    """
    total, whole = 0, []
    cut = set.union(*taken.values())
    first = (tube - 1) * cable.ribbons_per_tube + 1
    for used in taken.values():
        for ribbon in range(first, min(tube * cable.ribbons_per_tube, cable.ribbons) + 1):
            fibres = cable.in_ribbon(ribbon)
            left = [
                fibre
                for fibre in fibres
                if fibre not in used and (not cable.express or fibre in cut) and fibre not in cable.cut
            ]
            total += len(left)
            if len(left) == len(fibres) > 1:
                whole.append(len(left))
    return total, whole


def check_lanes(plan: Member, taken: Taken, facts: Facts, findings: Findings) -> None:
    """The lanes are those of the splices, and what the certificate has parked is what the opened tubes leave."""
    ribbons: Counter[tuple[str, int]] = Counter()
    fibres: Counter[tuple[str, int]] = Counter()
    for load in facts.parked:
        cable, tube, of = load.place
        (ribbons if of == "ribbons" else fibres)[cable, tube] += load.size
    told = []
    opened_tubes: set[tuple[str, int]] = set()
    for lane in plan["lanes"].each():
        tag = lane["cable"].text()
        told.append(tag)
        model = facts.cables.get(tag)
        if model is None:
            findings.breach(f"{lane.pointer}/cable", f"no cable {tag} is at the splice point")
            continue
        used = {side: taken[tag, side] for side in (("in", "out") if model.express else ("in",))}
        spliced, cut = sum(map(len, used.values())), set.union(set(model.cut), *used.values())
        opened = sorted({model.tube_of(fibre) for fibre in cut})
        cut_ends = len(cut) * 2 if model.express else sum(1 for fibre in model.fibres_in(opened))
        stored = cut_ends - spliced
        opened_tubes.update((tag, tube) for tube in opened)
        for tube in opened:
            total, whole = parked_in(model, used, tube)
            found = ribbons[tag, tube], fibres[tag, tube]
            findings.expect(
                found in ((0, total), (len(whole), total - sum(whole))),
                "/certificate/parked",
                f"tube {tube} of cable {tag} leaves {total} fibre ends, {len(whole)} ribbons of them whole",
            )
        due = {
            "spliced": spliced,
            "stored": stored,
            "express": model.fibres - len(cut) if model.express else 0,
            "express_tubes": model.tubes - len(opened) if model.express else 0,
        }
        for name, value in due.items():
            findings.expect(lane[name].whole() == value, f"{lane.pointer}/{name}", f"should be {value}")
        findings.expect(
            [tube.whole() for tube in lane["opened"].each()] == opened, f"{lane.pointer}/opened", f"should be {opened}"
        )
    findings.expect(sorted(told) == sorted(facts.cables), "/lanes", "do not name each cable once")
    for tag, tube in sorted({*ribbons, *fibres} - opened_tubes):
        findings.breach("/certificate/parked", f"tube {tube} of cable {tag} is not opened, and ends of it are parked")
    findings.checked.append("lanes: every fibre end spliced, parked or uncut, cable by cable and tube by tube")

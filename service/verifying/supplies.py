"""Sleeves with their spares, and the lines of material that follow from the plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import ceil

from service.verifying.facts import Facts
from service.verifying.laid import LaidTray
from service.verifying.members import Malformed, Member
from service.verifying.rates import probabilities_within
from service.verifying.rates_due import check_rates
from service.verifying.report import Findings

_SURE = 1e-9
"""Probabilities that are nearer to the confidence than this are taken to meet it, on either side."""
_MOST_SPARES = 3000
"""Beyond so many spares their probability is not worked out again here."""


def check_sleeves(plan: Member, facts: Facts, findings: Findings) -> None:
    """A sleeve a splice, and the fewest spares with which they last at the confidence asked for, in whole packs."""
    splices: Counter[str] = Counter()
    for bundle in facts.bundles:
        splices[bundle.sleeve] += bundle.size
    check_rates(plan, facts, splices, findings)
    confidence = plan["rules"]["confidence"].number()
    told = set()
    for line in plan["sleeves"].each():
        code = line["sleeve"].text()
        if code not in splices or code in told:
            raise Malformed(f"{line.pointer}/sleeve", "no bundle has this sleeve, or it stands there twice")
        told.add(code)
        model = facts.sleeves[code]
        spares, quantity = line["spares"].whole(), line["quantity"].whole()
        findings.expect(
            line["splices"].whole() == splices[code], f"{line.pointer}/splices", f"{splices[code]} splices have it"
        )
        findings.expect(
            quantity == splices[code] + spares, f"{line.pointer}/quantity", "is not the splices and the spares"
        )
        packs = -(-quantity // model.pack_of)
        findings.expect(line["packs"].whole() == packs, f"{line.pointer}/packs", f"{quantity} come in {packs} packs")
        mean = sum(group.splices * group.rate for group in model.rework) / splices[code]
        findings.expect(
            abs(line["rework"].number() - mean) <= 1e-6, f"{line.pointer}/rework", f"the mean rate is {mean:g}"
        )
        findings.expect(
            abs(line["confidence"].number() - confidence) <= 1e-6,
            f"{line.pointer}/confidence",
            f"the rules ask for {confidence:g}",
        )
        if spares > _MOST_SPARES:
            findings.notes.append(f"{spares} spares of {code}: their probability is not worked out again here")
            continue
        reached = probabilities_within(model.rework, spares)
        findings.expect(
            reached[spares] >= confidence - _SURE,
            f"{line.pointer}/spares",
            f"these last with a probability of {reached[spares]:.6g} only",
        )
        findings.expect(
            spares == 0 or reached[spares - 1] < confidence + _SURE, f"{line.pointer}/spares", "one fewer would do"
        )
    findings.expect(told == set(splices), "/sleeves", "does not name the sleeves of the bundles")
    findings.checked.append("sleeves: one a splice, the fewest spares for the confidence, whole packs")


def check_materials(plan: Member, trays: Sequence[LaidTray], facts: Facts, findings: Findings) -> None:
    """Closure, trays and sleeves are each listed as often as the plan has them; packs and tray prices add up."""
    new = Counter(tray.model for tray in trays if tray.new)
    due: dict[tuple[str, str], int] = {("tray", code): count for code, count in new.items()}
    if not facts.hanging:
        due["closure", plan["closure"]["code"].text()] = 1
    for sleeve in plan["sleeves"].each():
        due["sleeve", sleeve["sleeve"].text()] = sleeve["quantity"].whole()
    told = set()
    for line in plan["materials"].each():
        kind, code = line["kind"].one_of("closure", "tray", "sleeve", "material"), line["material"].text()
        quantity = Fraction(line["quantity"].decimal())
        included = Fraction(line["included"].decimal())
        findings.expect(included <= quantity, f"{line.pointer}/included", "more is included than is needed")
        if kind == "material":
            continue
        if (kind, code) not in due or (kind, code) in told:
            findings.breach(f"{line.pointer}/material", f"the plan has no such {kind}, or it stands there twice")
            continue
        told.add((kind, code))
        findings.expect(quantity == due[kind, code], f"{line.pointer}/quantity", f"the plan has {due[kind, code]}")
        pack_of = facts.sleeves[code].pack_of if kind == "sleeve" and code in facts.sleeves else 1
        packs = ceil((quantity - included) / pack_of)
        findings.expect(line["packs"].whole() == packs, f"{line.pointer}/packs", f"{packs} packs are needed")
        each = facts.models[code].price if kind == "tray" else None
        if kind == "tray" and line.has("price") != (each is not None):
            findings.breach(f"{line.pointer}/price", "the certificate says otherwise whether the tray has a price")
        elif each is not None:
            price = line["price"].cents()
            findings.expect(price == packs * each, f"{line.pointer}/price", f"{packs} at {each / 100:.2f} each")
    for kind, code in _missing(due, told):
        findings.breach("/materials", f"{kind} {code} is not listed")
    findings.checked.append("the lines of closure, trays and sleeves: quantities, packs and tray prices")


def _missing(due: dict[tuple[str, str], int], told: set[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    return (key for key, quantity in due.items() if quantity and key not in told)

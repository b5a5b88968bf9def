"""Sleeves with their spares, and the lines of material that follow from the plan."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import ceil, exp, fsum, lgamma, log, log1p

from service.verifying.facts import Facts
from service.verifying.laid import LaidTray
from service.verifying.members import Malformed, Member
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
    _check_rates(plan["rules"], facts, splices, findings)
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
        mean = sum(n * rate for n, rate in model.rework) / splices[code]
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
        reached = _probabilities(model.rework, spares)
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


def _check_rates(rules: Member, facts: Facts, splices: Counter[str], findings: Findings) -> None:
    """The rates behind the spares are those that the rules set, where they set any."""
    fixed = rules.maybe("rework_sleeve") or rules.maybe("rework")
    fibre = None if fixed is not None else rules.maybe("rework_fibre")
    fibres: dict[str, set[int]] = {}
    for bundle in facts.bundles:
        fibres.setdefault(bundle.sleeve, set()).add(bundle.fibres)
    for code, model in facts.sleeves.items():
        findings.expect(
            sum(n for n, _ in model.rework) == splices[code],
            f"{model.pointer}/rework",
            f"the rates are of other than the {splices[code]} splices with this sleeve",
        )
        due: set[float] = set()
        if fixed is not None:
            due = {fixed.number()}
        elif fibre is not None:
            due = {1 - (1 - fibre.number()) ** n for n in fibres.get(code, set())}
        if due:
            findings.expect(
                all(min(abs(rate - each) for each in due) < 1e-9 for _, rate in model.rework),
                f"{model.pointer}/rework",
                "the rates are not those of the rules",
            )


def _probabilities(groups: Sequence[tuple[int, float]], spares: int) -> list[float]:
    """P(remakes <= s) for s from 0 to ``spares``; remakes of N joints at rate p are negative binomial.

    A term is (N + k - 1 over k) (1 - p)^N p^k; groups of different rates add up, so their terms are folded.
    """
    terms = [1.0, *[0.0] * spares]
    for n, p in groups:
        if not n or not p:
            continue
        own = [exp(lgamma(n + k) - lgamma(k + 1) - lgamma(n) + n * log1p(-p) + k * log(p)) for k in range(spares + 1)]
        terms = [fsum(terms[j] * own[k - j] for j in range(k + 1)) for k in range(spares + 1)]
    reached, total = [], 0.0
    for term in terms:
        total += term
        reached.append(total)
    return reached


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

"""The verdict in words: whether it fits, how good it is, what else was judged."""

from __future__ import annotations

from service.domain.catalogue import Catalogue
from service.domain.plan import Alternative, Plan
from service.sheets.layout import counted, items, listed, number, paragraph, sentence


def verdict_lines(plan: Plan, catalogue: Catalogue) -> list[str]:
    """The head of the sheet: fits or not, where, in which closure, and how much work it is."""
    undecided = any(reason.limit == "undecided" for reason in plan.reasons)
    verdict = "FITS" if plan.fits else "NOT KNOWN WHETHER IT FITS" if undecided else "DOES NOT FIT"
    lines = paragraph(f"{verdict}  {plan.name}".rstrip(), 0, len(verdict) + 2)
    if plan.closure is not None:
        closure = catalogue.closures.get(plan.closure)
        lines += paragraph(f"Closure {plan.closure}: {closure.title}" if closure else f"Closure {plan.closure}", 2, 2)
    work = f"{counted(plan.splices, 'splice')} in {counted(plan.bundles, 'bundle')}"
    if plan.fits:
        new = sum(tray.new for tray in plan.trays)
        hanging = len(plan.trays) - new
        work += f" on {counted(len(plan.trays), 'tray')}"
        if hanging:
            work += f", {new} of them new"
    return lines + paragraph(f"{work}.")


def proof_lines(plan: Plan) -> list[str]:
    """In a sentence or two, what was proven least and how."""
    proof = plan.proof
    if proof is None:
        return []
    if proof.optimal:
        least = "lowest price of trays" if proof.cost is not None else "fewest new trays"
        text = f"This is the {least} ({_amount(proof.cost, proof.trays)}), then the least stack height "
        text += f"({number(proof.stack_mm)} mm), then the fewest hanging trays opened ({proof.opened}), "
        text += f"then the fewest pieces ({proof.pieces}): each proven. How: {proof.method}."
        return paragraph(sentence(text))
    gaps = [
        f"{name} {value} where {bound} is not ruled out"
        for name, value, bound in (
            ("price of trays", proof.cost, proof.cost_lower_bound),
            ("new trays", proof.trays, proof.lower_bound),
            ("stack height", f"{number(proof.stack_mm)} mm", f"{number(proof.stack_lower_bound_mm)} mm"),
            ("hanging trays opened", proof.opened, proof.opened_lower_bound),
            ("pieces", proof.pieces, proof.pieces_lower_bound),
        )
        if value is not None and value != bound
    ]
    text = f"It fits, but it is not proven to be the best: {listed(gaps)}." if gaps else "Not proven to be the best."
    return paragraph(f"{text} How: {sentence(proof.method)}")


def _amount(cost: object, trays: int) -> str:
    return f"{trays}" if cost is None else f"{cost}"


def alternative_lines(plan: Plan) -> list[str]:
    """The verdict on each other closure that was judged."""
    return items(_alternative(each) for each in plan.alternatives if each.closure != plan.closure)


def _alternative(each: Alternative) -> str:
    if not each.fits:
        limits = listed([*dict.fromkeys(reason.limit.replace("_", " ") for reason in each.reasons)])
        return f"{each.closure} does not fit: {limits}" if limits else f"{each.closure} does not fit"
    facts = [counted(each.trays, "tray")] if each.trays is not None else []
    if each.price is not None:
        facts.append(f"{each.price} {each.currency or ''}".rstrip())
    if each.outer_dm3 is not None:
        facts.append(f"{number(each.outer_dm3)} dm³")
    return f"{each.closure} fits: {', '.join(facts)}" if facts else f"{each.closure} fits"

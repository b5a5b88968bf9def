"""What the crew takes along: sleeves with spares, materials with their packs, the preparation cards."""

from __future__ import annotations

from decimal import Decimal

from service.domain.catalogue import Catalogue
from service.domain.plan import MaterialLine, Plan, Preparation
from service.sheets.layout import columns, counted, number, paragraph, quantity, sentence


def sleeve_lines(plan: Plan, catalogue: Catalogue) -> list[str]:
    """Sleeves by code: for how many splices, how many spares, in packs, and the chance that they last."""
    if not plan.sleeves:
        return []
    rows = [("sleeve", "splices", "spares", "in all", "packs", "")]
    for count in plan.sleeves:
        sleeve = catalogue.sleeves.get(count.sleeve)
        chance = (
            f"{100 * count.confidence:g} % sure to last with {100 * count.rework:.3g} % remade at the sleeve's cost"
        )
        rows.append(
            (
                count.sleeve,
                str(count.splices),
                str(count.spares),
                str(count.quantity),
                str(count.packs),
                f"{sleeve.title}; {chance}" if sleeve else chance,
            )
        )
    return columns(rows, right=(1, 2, 3, 4))


def material_lines(plan: Plan) -> list[str]:
    """The materials as they are counted and as they are bought, and what they come to by currency."""
    if not plan.materials:
        return []
    rows = [("item", "quantity", "packs", "price", "why")]
    rows += [_material_row(line) for line in plan.materials]
    return columns(rows, right=(1, 2, 3)) + _totals(plan)


def _material_row(line: MaterialLine) -> tuple[str, str, str, str, str]:
    why = f"{line.title}: {line.because}"
    if line.included:
        why += f"; {quantity(line.included)} in the closure's box"
    price = "" if line.price is None else f"{line.price:.2f} {line.currency or ''}".rstrip()
    return line.material, f"{quantity(line.quantity)} {line.unit}", str(line.packs), price, why


def _totals(plan: Plan) -> list[str]:
    sums: dict[str, Decimal] = {}
    for line in plan.materials:
        if line.price is not None:
            currency = line.currency or ""
            sums[currency] = sums.get(currency, Decimal(0)) + line.price
    unpriced = sum(line.price is None for line in plan.materials)
    total = " and ".join(f"{amount:.2f} {currency}".rstrip() for currency, amount in sorted(sums.items()))
    if not total:
        return []
    rest = f"; {counted(unpriced, 'line')} without a price" if unpriced else ""
    return paragraph(f"Whole packs come to {total}{rest}.")


def preparation_lines(plan: Plan) -> list[str]:
    """A card for each form of work at the splice point."""
    return [line for card in plan.preparation for line in _card(card)]


def _card(card: Preparation) -> list[str]:
    origin = "shipped figures, check them against your tools" if card.shipped else "from the catalogue"
    head = f"{card.title} ({card.method}, {origin}): {counted(card.ends, 'end')}"
    facts = []
    if card.strip_length_mm is not None:
        tolerance = f" within {_mm(card.strip_tolerance_mm)}" if card.strip_tolerance_mm is not None else ""
        facts.append(f"strip {_mm(card.strip_length_mm)}{tolerance}")
    if card.strip_dwell_s is not None:
        times = f", {card.strip_repeats} times over" if (card.strip_repeats or 1) > 1 else ""
        facts.append(f"hold in the heated stripper {number(card.strip_dwell_s)} s{times}")
    if card.cleave_length_mm is not None:
        facts.append(f"cleave to {_mm(card.cleave_length_mm)}")
    if card.cutback_mm is not None:
        facts.append(f"each attempt costs {_mm(card.cutback_mm)} of every end")
    if card.holder is not None:
        facts.append(f"holder: {card.holder}")
    lines = paragraph(f"- {head}", 2, 2)
    if facts:
        lines += paragraph(sentence("; ".join(facts)), 4)
    if card.notes is not None:
        lines += paragraph(sentence(card.notes), 4)
    return lines


def _mm(value: float) -> str:
    return f"{value:g} mm"

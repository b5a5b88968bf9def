"""How many trays must serve a label."""

from __future__ import annotations

from service.planning.packing.patterns.model import Group, Model


def trays_at_least(model: Model, group: Group) -> int:
    """How many trays hold bundles of a label at least, by the slots of each column."""
    case = model.case
    taken = [0] * case.columns
    for n in group.lots:
        alike = case.likenesses[model.lots[n].alike]
        taken[alike.column] += model.lots[n].size * model.lots[n].count * alike.slots
    widest = [max([kind.given[c] for kind in model.types], default=0) for c in range(case.columns)]
    return max([1, *[-(-n // most) for n, most in zip(taken, widest, strict=True) if most]])

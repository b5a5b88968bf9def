"""Needs: what the trays to buy must give together of a measure, so that mixes that give less are never listed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.planning.packing.case import Case, Lot
from service.planning.packing.measures import Measure, amounts_of, trays_at_least
from service.planning.packing.sharp import LotMeasure


@dataclass(frozen=True, slots=True)
class Need:
    """``amount`` of a measure that any mix must give; ``gives[b]`` is the most that one bought tray of a berth gives.

    ``name`` says in words what is measured.
    """

    name: str
    amount: int
    gives: tuple[int, ...]


def needs_of(case: Case, measures: Sequence[Measure]) -> list[Need]:
    """The needs by slots, storage and ribbons, less what hanging trays give, and the trays that labels need."""
    first = case.bought_from
    amounts = amounts_of(case)
    reserve = [0 if case.in_stack else n - u for n, u in zip(case.needed, case.used, strict=True)]
    needs: list[Need] = []
    for measure in measures:
        amount = sum([n * w for n, w in zip(amounts, measure.splice, strict=True)])
        amount += sum([n * w for n, w in zip(reserve, measure.slot, strict=True)])
        if first:
            hung = zip(case.berths[:first], measure.tray[:first], strict=True)
            amount -= sum([len(b.hanging) * t for b, t in hung])
        if amount > 0:
            needs.append(Need(measure.name, amount, measure.tray[first:]))
    trays = trays_at_least(case, measures, amounts) - case.hung
    if trays > 0:
        needs.append(Need("trays for the labels", trays, (1,) * (len(case.berths) - first)))
    return needs


def sharp_needs(case: Case, lots: Sequence[Lot], measures: Sequence[LotMeasure]) -> list[Need]:
    """The needs by measures of whole bundles, less what hanging trays give."""
    first = case.bought_from
    needs: dict[tuple[int, tuple[int, ...]], Need] = {}
    for measure in measures:
        amount = sum([lot.count * w for lot, w in zip(lots, measure.lots, strict=True)])
        amount -= sum([len(b.hanging) * g for b, g in zip(case.berths[:first], measure.tray, strict=False)])
        gives = measure.tray[first:]
        if amount > 0 and (amount, gives) not in needs:
            needs[amount, gives] = Need(measure.name, amount, gives)
    return list(needs.values())


def within(needs: Sequence[Need], mix: Sequence[int]) -> bool:
    """Whether a mix gives all that is needed."""
    return all(sum([n * g for n, g in zip(mix, need.gives, strict=True)]) >= need.amount for need in needs)

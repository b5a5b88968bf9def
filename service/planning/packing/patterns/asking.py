"""Asking the last resort, where it is worth it and the solver is there."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from service.planning.packing.budget import Budget
from service.planning.packing.case import Case
from service.planning.packing.mixes import Mix
from service.planning.packing.needs import Need
from service.planning.packing.patterns.resort import LastResort, Settled

FEWEST_NODES = 2_000
"""With fewer nodes than this the solver is not asked."""


def settled_by_fillings(
    case: Case, needs: Sequence[Need], bankable: Callable[[Mix, Budget], bool], least: int, nodes: int
) -> Settled | None:
    """What the last resort finds with so many nodes, None where it is not asked; nothing weighs less than ``least``."""
    if nodes < FEWEST_NODES:
        return None
    try:
        resort = LastResort(case, needs, bankable, Budget(nodes))
    except ImportError:
        return None
    return resort.settle(least)

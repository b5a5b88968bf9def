"""How much more of the same a closure takes before it is full."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from service.domain.plan import Headroom
from service.domain.splices import Work
from service.planning.demand import Demand, reserve_of
from service.planning.packing.problem import Item, Problem
from service.planning.relaxing import solve

Kind = tuple[Literal["ribbon", "single"], int, str]
"""Form, fibres a splice, slot kind."""


def headroom_of(work: Work, demand: Demand, reserve_percent: float = 0.0) -> tuple[Headroom, ...]:
    """For each kind of splice of the work, how many more of it fit, each added as a bundle of its own.

    The rules stay as they are and so do the other kinds; a reserve of so many percent grows with the splices, as it
    would if they were asked for. Found by solving again with more and more; ``proven`` where one more was shown not to
    fit, else as many at least. Ports are not asked: the ribbons are taken to come in cables that are there.
    """
    problem = demand.problem
    if problem is None:
        return ()
    found: dict[Kind, Item] = {}
    for number, bundle in enumerate(work.bundles):
        kind: Kind = (bundle.form, bundle.fibres, demand.sleeves[number].slot_kind)
        one = replace(problem.items[number], size=1, label=None)
        # Of alike splices the one that takes most of the channels stands for what is to come.
        if kind not in found or _share(one) > _share(found[kind]):
            found[kind] = one
    return tuple(Headroom(*kind, *_most(problem, item, reserve_percent)) for kind, item in found.items())


def _share(item: Item) -> int:
    return max((share for share in item.storage if share is not None), default=0)


def _most(problem: Problem, item: Item, reserve_percent: float) -> tuple[int, bool]:
    """The most more that fit, and whether one more is proven not to."""
    kind = item.slot_kind
    splices = sum(other.size for other in problem.items if other.slot_kind == kind and not other.loose)

    def fits(more: int) -> bool | None:
        reserve = list(problem.reserve)
        if reserve:
            reserve[kind] = reserve_of(reserve_percent, splices + more)
        return solve(replace(problem, items=(*problem.items, *[item] * more), reserve=tuple(reserve))).fits

    # No more than all the slots of all the trays that the closure could ever hold.
    ceiling = 1 + sum(sum(bank[item.slot_kind] for bank in kind.banks) * kind.most for kind in problem.kinds)
    low, high = 0, 1
    verdict = fits(high)
    while verdict and high < ceiling:
        low, high = high, min(2 * high, ceiling)
        verdict = fits(high)
    proven = verdict is False
    while high - low > 1:
        middle = (low + high) // 2
        verdict = fits(middle)
        if verdict:
            low = middle
        else:
            high, proven = middle, verdict is False
    return low, proven

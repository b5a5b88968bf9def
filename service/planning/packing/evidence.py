"""Which bound closed which value of a packing, found afterwards among everything that ruled the better ones out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import lcm

from service.planning.packing.case import LOOSE, Berth, Case
from service.planning.packing.needs import Need
from service.planning.packing.problem import Bounds, Evidence

TOGETHER = "every mix of trays that would do better gives too little of something, or its banks cannot be set for all"
SEARCHED = "search exhausted"
LOWEST = "so many of the lowest trays stand as high"
NOTHING = "nothing can be less than none"
WHOLE_PIECES = "every bundle whole"
LARGER = "bundles larger than any tray cut as little as can be"
OPENED = "no choice of fewer hanging trays holds it, all tried"
SOLVER = "with a linear programming solver's prices, checked in whole numbers"
CUTS = "search over cuts exhausted"


def most_given(berths: Sequence[Berth], gives: Sequence[int], prices: Sequence[int], limit: int) -> int:
    """An upper bound on what trays that cost ``limit`` together give: the best for their price first, the last in part.

    Exact where all prices are equal; -1 where the limit is negative.
    """
    if limit < 0:
        return -1
    total = 0
    order = [b for b, give in enumerate(gives) if give > 0]
    if len(set(prices)) == 1:
        order.sort(key=lambda b: -gives[b])
    else:
        # What a unit of price gives, in whole numbers: what costs nothing comes first.
        common = lcm(*(price for price in prices if price))
        order.sort(key=lambda b: (prices[b] > 0, -gives[b] * (common // prices[b] if prices[b] else 1)))
    for b in order:
        most = berths[b].most
        if most * prices[b] <= limit:
            total += most * gives[b]
            limit -= most * prices[b]
        else:
            return total + (limit * gives[b] // prices[b] if len(set(prices)) > 1 else limit // prices[b] * gives[b])
    return total


def by_one_need(case: Case, needs: Sequence[Need], value: str, prices: Sequence[int], limit: int) -> Evidence | None:
    """The first need that trays of this limit cannot meet; None where each alone could be met."""
    berths = case.berths[case.bought_from :]
    for need in needs:
        most = most_given(berths, need.gives, prices, limit)
        if most < need.amount:
            return Evidence(value, need.name, need.amount, max(most, 0))  # type: ignore[arg-type]
    return None


def height_at_least(case: Case, needs: Sequence[Need]) -> int:
    """The least height at which each need alone can be met, whatever the trays cost."""
    pitches = [berth.pitch for berth in case.berths[case.bought_from :]]
    low, high = 0, case.room
    while low < high:
        middle = (low + high) // 2
        if by_one_need(case, needs, "height", pitches, middle) is None:
            high = middle
        else:
            low = middle + 1
    return low


def evidence_of(case: Case, needs: Sequence[Need], bounds: Bounds, searched: int, floor: int) -> tuple[Evidence, ...]:
    """The evidence of every bound. ``searched``: nodes of exhaustive searches; ``floor``: pieces in any packing."""
    berths = case.berths[case.bought_from :]
    costs = [(berth.weight - berth.pitch) // case.height_unit for berth in berths]
    pitches = [berth.pitch for berth in berths]
    fallback = Evidence("cost", SEARCHED if searched else TOGETHER, nodes=searched)
    found: list[Evidence] = []
    if bounds.cost_bound == 0:
        found.append(Evidence("cost", NOTHING))
    else:
        found.append(by_one_need(case, needs, "cost", costs, bounds.cost_bound - 1) or fallback)
    if bounds.cost_bound < bounds.cost:
        alone = by_one_need(case, needs, "height", pitches, bounds.height_bound - 1)
        found.append(alone or Evidence("height", NOTHING))
    else:
        lowest = least_height(berths, costs, bounds.cost)
        if bounds.height_bound == 0:
            found.append(Evidence("height", NOTHING))
        elif lowest is not None and lowest == bounds.height_bound:
            found.append(Evidence("height", LOWEST))
        else:
            weights = [berth.weight for berth in berths]
            below = bounds.cost * case.height_unit + bounds.height_bound - 1
            alone = by_one_need(case, needs, "height", pitches, bounds.height_bound - 1)
            alone = alone or by_one_need(case, needs, "height", weights, below)
            found.append(alone or Evidence("height", fallback.bound, nodes=searched))
        if bounds.height_bound == bounds.height:
            found.append(Evidence("opened", OPENED if bounds.opened_bound else NOTHING))
            if bounds.opened_bound == bounds.opened:
                bundles = sum(1 for size, cut in zip(case.sizes, case.cut_of, strict=True) if size and cut != LOOSE)
                name = CUTS if bounds.pieces_bound > floor else LARGER if floor > bundles else WHOLE_PIECES
                found.append(Evidence("pieces", name))
    return tuple(found)


def least_height(berths: Sequence[Berth], costs: Sequence[int], cost: int) -> int | None:
    """The height of the lowest trays, as many as are bought, where every tray costs one; else None."""
    if any(each != 1 for each in costs):
        return None
    height = 0
    for berth in sorted(berths, key=lambda berth: berth.pitch):
        some = min(cost, berth.most)
        height += some * berth.pitch
        cost -= some
    return height if cost == 0 else None


def why_nothing_fits(case: Case, needs: Sequence[Need], searched: int) -> tuple[Evidence, ...]:
    """The evidence that no trays within the stack hold all."""
    pitches = [berth.pitch for berth in case.berths[case.bought_from :]]
    alone = by_one_need(case, needs, "fit", pitches, case.room)
    return (alone or Evidence("fit", SEARCHED if searched else TOGETHER, nodes=searched),)


WORDS = {"cost": "cost", "height": "height", "opened": "hanging trays opened", "pieces": "pieces", "fit": "no fit"}


def by_solver(evidence: Sequence[Evidence]) -> tuple[Evidence, ...]:
    """The evidence of an answer that the last-resort solver had a part in: it finds trays, and what they must weigh."""
    return tuple([replace(each, solver=each.value != "opened") for each in evidence])


def in_words(evidence: Sequence[Evidence], proven: bool) -> str:
    """The evidence in plain words, with its figures."""
    said: list[str] = []
    for each in evidence:
        figures = ""
        if each.needed is not None and each.most is not None:
            figures = f" (needed {each.needed}, at most {each.most} with less)"
            if each.value == "fit":
                figures = f" (needed {each.needed}, at most {each.most} in the stack)"
        elif each.nodes:
            figures = f" ({each.nodes} nodes)"
        said.append(f"{WORDS[each.value]}: {each.bound}{figures}")
    if any(each.solver for each in evidence):
        said.append(SOLVER)
    return "; ".join([*said, "proven" if proven else "stopped at the node limit"])

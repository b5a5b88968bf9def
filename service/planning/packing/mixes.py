"""Mixes of trays to buy, in the order of the objective: least cost first, then least height."""

from __future__ import annotations

from collections.abc import Iterator
from heapq import heappop, heappush

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import Case
from service.planning.packing.measures import Measure, amounts_of, trays_at_least

Mix = tuple[int, ...]
"""How many trays of each berth that can be bought."""


class MixesCutShortError(Exception):
    """The node limit ended the listing; what was not listed weighs ``weight`` at least."""

    def __init__(self, weight: int) -> None:
        super().__init__(weight)
        self.weight = weight


def mixes(
    case: Case, measures: list[Measure], budget: Budget, least_trays: int = 0, least: int = 0
) -> Iterator[tuple[int, Mix]]:
    """All mixes that no measure rules out, as (weight, mix), never a lighter one after a heavier one.

    A best-first search over mixes built kind by kind; what is still needed bounds the weight from below by the best
    weight a unit and by the count of trays times the lightest of them. Both bounds hold for prices as well, where a
    dearer mix may hold fewer trays. ``least_trays`` and ``least`` are bounds known otherwise: on the trays that hold
    something, and on the weight. Raises MixesCutShortError where the node limit ends the listing.
    """
    first = case.bought_from
    berths = case.berths[first:]
    amounts = amounts_of(case)
    reserve = [0 if case.in_stack else n - u for n, u in zip(case.needed, case.used, strict=True)]
    needs: list[int] = []
    gives: list[tuple[int, ...]] = []
    for measure in measures:
        need = sum(n * w for n, w in zip(amounts, measure.splice, strict=True))
        need += sum(n * w for n, w in zip(reserve, measure.slot, strict=True))
        need -= sum(len(b.hanging) * t for b, t in zip(case.berths[:first], measure.tray[:first], strict=True))
        if need > 0:
            needs.append(need)
            gives.append(measure.tray[first:])
    trays = max(least_trays, trays_at_least(case, measures, amounts)) - case.hung
    if trays > 0:
        needs.append(trays)
        gives.append((1,) * len(berths))

    def least_weight(open_needs: tuple[int, ...], start: int, room: int) -> int | None:
        """Weight that must still be added with berths from ``start`` on; None where the room does not allow it."""
        bound = 0
        for need, give in zip(open_needs, gives, strict=True):
            if need <= 0:
                continue
            largest = 0
            by_share = tall = -1
            lightest = lowest = -1
            for b in range(start, len(berths)):
                if give[b] <= 0:
                    continue
                berth = berths[b]
                largest = max(largest, give[b])
                share = -(-need * berth.weight // give[b])
                height = -(-need * berth.pitch // give[b])
                by_share = share if by_share < 0 else min(by_share, share)
                tall = height if tall < 0 else min(tall, height)
                lightest = berth.weight if lightest < 0 else min(lightest, berth.weight)
                lowest = berth.pitch if lowest < 0 else min(lowest, berth.pitch)
            if largest == 0:
                return None
            count = -(-need // largest)
            if max(tall, count * lowest) > room:
                return None
            bound = max(bound, by_share, count * lightest)
        return bound

    start_needs = tuple(needs)
    bound = least_weight(start_needs, 0, case.room)
    if bound is None:
        return
    heap: list[tuple[int, int, Mix, int, int, int, tuple[int, ...]]] = []
    heappush(heap, (max(bound, least), 0, (0,) * len(berths), 0, 0, case.room, start_needs))
    while heap:
        floor, count, mix, last, weight, room, open_needs = heappop(heap)
        try:
            budget.spend()
        except OutOfNodesError:
            raise MixesCutShortError(floor) from None
        if weight >= least and all(need <= 0 for need in open_needs):
            yield weight, mix
        for b in range(last, len(berths)):
            berth = berths[b]
            if mix[b] >= berth.most or berth.pitch > room:
                continue
            left = tuple([need - give[b] for need, give in zip(open_needs, gives, strict=True)])
            more = least_weight(left, b, room - berth.pitch)
            if more is None:
                continue
            grown = (*mix[:b], mix[b] + 1, *mix[b + 1 :])
            heavier = weight + berth.weight
            heappush(heap, (max(heavier + more, least), count + 1, grown, b, heavier, room - berth.pitch, left))

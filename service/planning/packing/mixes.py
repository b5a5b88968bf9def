"""Mixes of trays to buy, in the order of the objective: least cost first, then least height."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from heapq import heappop, heappush
from math import lcm

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import Berth, Case
from service.planning.packing.needs import Need

Mix = tuple[int, ...]
"""How many trays of each berth that can be bought."""


LOOKS_A_NODE = 400
"""How many times a need looked at a kind of tray counts as a node: with few kinds a mix is one node."""


class MixesCutShortError(Exception):
    """The node limit ended the listing; what was not listed weighs ``weight`` at least."""

    def __init__(self, weight: int) -> None:
        super().__init__(weight)
        self.weight = weight


class Pull:
    """One need in the search for mixes: what it costs at least, by weight and by height, to meet what is left of it."""

    __slots__ = ("by_height", "by_weight", "gives", "largest", "lightest", "lowest")

    def __init__(self, berths: Sequence[Berth], gives: tuple[int, ...]) -> None:
        useful = [b for b, give in enumerate(gives) if give > 0]
        self.gives = gives
        # The berths that give most for their weight (their pitch) come first: the fractional covering bound.
        self.by_weight = self.by_height = useful
        if len(useful) > 1:
            # Compared over a common multiple of what they give, in whole numbers.
            common = lcm(*(gives[b] for b in useful))
            self.by_weight = sorted(useful, key=lambda b: berths[b].weight * (common // gives[b]))
            self.by_height = sorted(useful, key=lambda b: berths[b].pitch * (common // gives[b]))
        starts = range(len(berths))
        self.largest = [max([gives[b] for b in useful if b >= start], default=0) for start in starts]
        self.lightest = [min([berths[b].weight for b in useful if b >= start], default=0) for start in starts]
        self.lowest = [min([berths[b].pitch for b in useful if b >= start], default=0) for start in starts]


def mixes(case: Case, needs: Sequence[Need], budget: Budget, least: int = 0) -> Iterator[tuple[int, Mix]]:
    """All mixes that meet the needs and weigh ``least`` at least, as (weight, mix), no lighter one after a heavier one.

    A best-first search over mixes built kind by kind. What is left of a need bounds the weight that must be added from
    below: the trays that give most of it for their weight first, so far as there are any, the last one in part; and
    the count of trays times the lightest of them. Both bounds hold for prices as well, where a dearer mix may hold
    fewer trays. Raises MixesCutShortError where the node limit ends the listing.
    """
    berths = case.berths[case.bought_from :]
    pulls = [Pull(berths, need.gives) for need in needs]

    def least_weight(open_needs: tuple[int, ...], start: int, used: int, room: int) -> int:
        """Weight that must still be added with berths from ``start`` on, ``used`` of it gone; -1: there is no way."""
        bound = 0
        for need, pull in zip(open_needs, pulls, strict=True):
            if need <= 0:
                continue
            largest = pull.largest[start]
            if largest == 0:
                return -1
            gives = pull.gives
            count = -(-need // largest)
            height = count * pull.lowest[start]
            weight = count * pull.lightest[start]
            left = need
            by_share = 0
            for b in pull.by_weight:
                if b < start:
                    continue
                berth = berths[b]
                most = berth.most - used if b == start else berth.most
                if most * gives[b] >= left:
                    by_share -= -left * berth.weight // gives[b]
                    left = 0
                    break
                left -= most * gives[b]
                by_share += most * berth.weight
            if left > 0:
                return -1
            left = need
            tall = 0
            for b in pull.by_height:
                if b < start:
                    continue
                berth = berths[b]
                most = berth.most - used if b == start else berth.most
                if most * gives[b] >= left:
                    tall -= -left * berth.pitch // gives[b]
                    break
                left -= most * gives[b]
                tall += most * berth.pitch
            if tall > room or height > room:
                return -1
            bound = max(bound, by_share, weight)
        return bound

    start_needs = tuple([need.amount for need in needs])
    if not berths:
        if not needs and not least:
            yield 0, ()
        return
    bound = least_weight(start_needs, 0, 0, case.room)
    if bound < 0:
        return
    heap: list[tuple[int, int, Mix, int, int, int, tuple[int, ...]]] = []
    heappush(heap, (max(bound, least), 0, (0,) * len(berths), 0, 0, case.room, start_needs))
    looks = 0
    while heap:
        floor, count, mix, last, weight, room, open_needs = heappop(heap)
        try:
            budget.spend(1 + looks // LOOKS_A_NODE)
        except OutOfNodesError:
            raise MixesCutShortError(floor) from None
        if weight >= least and max(open_needs, default=0) <= 0:
            yield weight, mix
        looks = 0
        for b in range(last, len(berths)):
            berth = berths[b]
            if mix[b] >= berth.most or berth.pitch > room:
                continue
            left = tuple([need - pull.gives[b] for need, pull in zip(open_needs, pulls, strict=True)])
            looks += len(needs) * (len(berths) - b)
            more = least_weight(left, b, mix[b] + 1, room - berth.pitch)
            if more < 0:
                continue
            grown = (*mix[:b], mix[b] + 1, *mix[b + 1 :])
            heavier = weight + berth.weight
            heappush(heap, (max(heavier + more, least), count + 1, grown, b, heavier, room - berth.pitch, left))

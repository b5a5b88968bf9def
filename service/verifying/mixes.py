"""Mixes of new trays within a cost and a height, and whether every one of them can be ruled out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from service.verifying.exhausting import Steps, cannot_give, cannot_hold, trays_key
from service.verifying.measures import Measure, Work
from service.verifying.vessels import Vessel, room_above

MOST_MIXES = 20_000
"""Mixes and parts of them that are looked at for one claim; beyond that the claim is not shown again."""
_STEPS = 40_000

Mix = tuple[int, ...]
"""How many new trays of each model, in the order of ``Refuter.codes``."""


class TooManyError(Exception):
    """More mixes than are looked at."""


@dataclass(slots=True)
class Refuter:
    """Rules out mixes of new trays beside the hanging ones that may be used.

    ``usable`` are places among the hanging trays. ``with_reserve``: free slots that are asked for in the trays count,
    which they do not where only some of the hanging trays may be opened. ``said`` gathers the measures that ruled out.
    """

    work: Work
    measures: Sequence[Measure]
    usable: tuple[int, ...]
    with_reserve: bool = True
    said: Counter[str] = field(default_factory=Counter)
    left: int = MOST_MIXES
    steps: Steps = field(default_factory=lambda: Steps(_STEPS))
    codes: tuple[str, ...] = ()
    costs: tuple[int, ...] = ()
    pitches: tuple[int, ...] = ()
    most: tuple[int, ...] = ()
    room: int = 0

    def __post_init__(self) -> None:
        facts = self.work.facts
        self.room, counts = room_above(facts)
        self.codes = tuple(sorted(self.work.new))
        models = [facts.models[code] for code in self.codes]
        self.costs = tuple(1 if facts.minimise == "trays" else model.price or 0 for model in models)
        self.pitches = tuple(model.pitch for model in models)
        self.most = tuple(counts[code] for code in self.codes)

    def all_ruled_out(self, cost: int, height: int) -> bool:
        """Whether no mix of at most this cost and height holds the work; False also where that was not found out."""
        try:
            return self._region(cost, min(height, self.room), self.in_trays)
        except TooManyError:
            return False

    @property
    def in_trays(self) -> bool:
        """Whether the reserve must be there in the trays of the mix itself."""
        return self.with_reserve and self.work.facts.reserve_in == "trays"

    def _region(self, cost: int, height: int, reserve: bool, above: Mix | None = None) -> bool:
        """Rule out every mix within cost and height; with ``above``, only those that add trays to that one."""
        floor = above or (0,) * len(self.codes)
        if cost < 0 or height < 0:
            return True
        measures = [m for m in self.measures if reserve or not m.reserve]
        needs = [m.need - sum(m.hanging[place] for place in self.usable) for m in measures]
        gives = [tuple(m.new[code] for code in self.codes) for m in measures]
        names = [m.name for m in measures]
        seen: set[Mix] = set()

        def grow(at: int, mix: Mix, cost_left: int, height_left: int, open_: tuple[int, ...]) -> bool:
            self._spend()
            for number, need in enumerate(open_):
                if self._never(need, gives[number], at, cost_left, height_left):
                    self.said[names[number]] += 1
                    return True
            if at == len(self.codes):
                return self._ruled_out(mix, reserve, above is None, seen)
            most = self.most[at] - floor[at]
            if self.pitches[at]:
                most = min(most, height_left // self.pitches[at])
            if self.costs[at]:
                most = min(most, cost_left // self.costs[at])
            last = at == len(self.codes) - 1
            for some in range(most, most - 1 if last else -1, -1):
                after = tuple(need - some * give[at] for need, give in zip(open_, gives, strict=True))
                if not grow(
                    at + 1,
                    (*mix, floor[at] + some),
                    cost_left - some * self.costs[at],
                    height_left - some * self.pitches[at],
                    after,
                ):
                    return False
            return True

        for at, n in enumerate(floor):
            cost, height = cost - n * self.costs[at], height - n * self.pitches[at]
            needs = [need - n * give[at] for need, give in zip(needs, gives, strict=True)]
        return cost < 0 or height < 0 or grow(0, (), cost, height, tuple(needs))

    def _never(self, need: int, give: tuple[int, ...], at: int, cost_left: int, height_left: int) -> bool:
        """Whether the models from ``at`` on cannot give the need within what cost, height and counts leave."""
        if need <= 0:
            return False
        by_cost = by_height = 0.0
        total = 0
        for model in range(at, len(give)):
            if not give[model]:
                continue
            total += give[model] * self.most[model]
            by_cost = max(by_cost, give[model] / self.costs[model] if self.costs[model] else float("inf"))
            by_height = max(by_height, give[model] / self.pitches[model] if self.pitches[model] else float("inf"))
        if total < need:
            return True
        # A little less than the need, so that rounding never rules out too much.
        sure = need * (1 - 1e-9)
        return (
            (cost_left == 0 and by_cost != float("inf"))
            or (height_left == 0 and by_height != float("inf"))
            or (by_cost * cost_left < sure or by_height * height_left < sure)
        )

    def _spend(self) -> None:
        self.left -= 1
        if self.left < 0:
            raise TooManyError

    def _ruled_out(self, mix: Mix, reserve: bool, by_stack: bool, seen: set[Mix]) -> bool:
        """Rule out one mix with every part of it."""
        if mix in seen:
            return True
        seen.add(mix)
        self._spend()
        trays = [self.work.new[code] for code, n in zip(self.codes, mix, strict=True) for _ in range(n)]
        trays += [self.work.hanging[place] for place in self.usable]
        if cannot_give(trays, self._slots(reserve)):
            self.said["banks, each set to one slot kind"] += 1
            return True
        if cannot_hold(trays, self.work.whole, self.steps):
            self.said["bundles kept whole, tried tray by tray"] += 1
            return True
        if not by_stack or not self._stack_rules_out(mix):
            return False
        # Too little room above is no fault of a smaller mix, so each of those is asked as well.
        for at, n in enumerate(mix):
            if n:
                smaller = (*mix[:at], n - 1, *mix[at + 1 :])
                if not self._measured_out(smaller) and not self._ruled_out(smaller, reserve, by_stack, seen):
                    return False
        return True

    def _measured_out(self, mix: Mix) -> bool:
        for measure in self.measures:
            if measure.reserve and not self.in_trays:
                continue
            holds = sum(n * measure.new[code] for code, n in zip(self.codes, mix, strict=True))
            if holds + sum(measure.hanging[place] for place in self.usable) < measure.need:
                self.said[measure.name] += 1
                return True
        return False

    def _slots(self, reserve: bool) -> dict[str, int]:
        need = dict(self.work.facts.reserve) if reserve else {}
        for load in self.work.facts.loads:
            if load.slot_kind is not None:
                need[load.slot_kind] = need.get(load.slot_kind, 0) + load.size
        return need

    def _stack_rules_out(self, mix: Mix) -> bool:
        """Whether above the mix there is no room for the spare trays, or none for trays that give the reserve."""
        facts = self.work.facts
        room = self.room - sum(n * pitch for n, pitch in zip(mix, self.pitches, strict=True))
        lowest = sorted(
            pitch
            for n, most, pitch in zip(mix, self.most, self.pitches, strict=True)
            for _ in range(min(most - n, facts.spare_trays))
        )[: facts.spare_trays]
        if len(lowest) < facts.spare_trays or sum(lowest) > room:
            self.said["room for the spare trays"] += 1
            return True
        if self.with_reserve and facts.reserve_in == "stack" and any(facts.reserve.values()):
            ceiling = sum(most * cost for most, cost in zip(self.most, self.costs, strict=True))
            if self._region(ceiling, self.room, True, mix):
                self.said["room for the reserve"] += 1
                return True
        return False


def some_hanging(hanging: Sequence[Vessel], number: int) -> Iterator[tuple[int, ...]]:
    """Choices of so many hanging trays, of alike ones only the first."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for place, vessel in enumerate(hanging):
        groups.setdefault(trays_key(vessel), []).append(place)
    members = list(groups.values())

    def choose(at: int, left: int) -> Iterator[tuple[int, ...]]:
        if at == len(members):
            if not left:
                yield ()
            return
        for some in range(min(left, len(members[at])), -1, -1):
            for rest in choose(at + 1, left - some):
                yield (*members[at][:some], *rest)

    yield from choose(0, number)

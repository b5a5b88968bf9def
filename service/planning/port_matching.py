"""A matching of cable entries to port models, and the sets of cables that are too many for their ports.

Entries of one group are alike, and so are the places of one port model, so the matching counts them. One entry after
the other finds the tightest model with room that shifting others can free (successive cheapest paths): shifts add
and take off the widths in between, so a path costs the width of the model where it ends, and the sum is least.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Kind:
    """A port model: so many places of so many entries each, and the width of its range in nm."""

    places: int
    entries: int
    width: int

    @property
    def pairs(self) -> int:
        """How many express cables can have both their entries in one of its places."""
        return self.places * (self.entries // 2)

    def opened(self, pairs: int, singles: int) -> int | None:
        """The fewest places that hold so many pairs and single entries, None where they do not fit."""
        if pairs > self.pairs:
            return None
        by_entry = -(-(2 * pairs + singles) // self.entries)
        by_pair = -(-pairs // (self.entries // 2)) if pairs else 0
        needed = max(by_entry, by_pair)
        return needed if needed <= self.places else None


@dataclass(frozen=True, slots=True)
class Group:
    """So many cables that the same port models (by index) take, express cables apart from ending ones."""

    kinds: tuple[int, ...]
    express: bool
    cables: int

    @property
    def entries(self) -> int:
        """How many cable entries they need."""
        return self.cables * (2 if self.express else 1)


class Matching:
    """Entries placed so far: ``lies[t][g]`` entries of group g in port model t, which has ``room[t]`` in all."""

    def __init__(self, kinds: Sequence[Kind], groups: Sequence[Group], room: Sequence[int]) -> None:
        self.kinds, self.groups, self.room = kinds, groups, list(room)
        self.lies: list[dict[int, int]] = [{} for _ in kinds]
        self.load = [0] * len(kinds)

    def copy(self) -> Matching:
        """A matching that can be changed apart from this one."""
        other = Matching(self.kinds, self.groups, self.room)
        other.lies, other.load = [dict(held) for held in self.lies], list(self.load)
        return other

    def place(self, g: int) -> frozenset[int] | None:
        """Place one more entry of a group; where it cannot be, the port models in its reach, all of them full."""
        came: dict[int, tuple[int, int] | None] = dict.fromkeys(self.groups[g].kinds)
        queue = list(came)
        for t in queue:
            # A model with room ends a path; to go on from it could only have been an improvement before.
            for other in self.lies[t] if self.load[t] >= self.room[t] else ():
                for reached in self.groups[other].kinds:
                    if reached not in came:
                        came[reached] = (t, other)
                        queue.append(reached)
        ends = [t for t in queue if self.load[t] < self.room[t]]
        if not ends:
            return frozenset(queue)
        t = min(ends, key=lambda t: (self.kinds[t].width, t))
        while (step := came[t]) is not None:
            before, other = step
            self.drop(other, before)
            self.add(other, t)
            t = before
        self.add(g, t)
        return None

    def add(self, g: int, t: int) -> None:
        """One more entry of a group in a port model."""
        self.lies[t][g] = self.lies[t].get(g, 0) + 1
        self.load[t] += 1

    def drop(self, g: int, t: int) -> None:
        """One entry of a group fewer in a port model."""
        self.load[t] -= 1
        self.lies[t][g] -= 1
        if not self.lies[t][g]:
            del self.lies[t][g]


def match(
    kinds: Sequence[Kind], groups: Sequence[Group], entries: Sequence[int], room: Sequence[int]
) -> tuple[Matching, tuple[frozenset[int], ...]]:
    """Place so many entries of each group; with the sets of port models that are too few (none: all are placed)."""
    matching = Matching(kinds, groups, room)
    tight: dict[frozenset[int], None] = {}
    for g, count in enumerate(entries):
        for _ in range(count):
            full = matching.place(g)
            if full is not None:
                tight[full] = None
                break
    return matching, tuple(tight)

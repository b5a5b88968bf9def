"""Packings that are known already, for whoever plans much of one kind.

Demands that differ in slack, crew or site often come to the same packing problem. A packing follows from its problem
and the node limit alone, so where ``KnownPackings`` are in use a problem that was solved before is not solved again,
and the answer is the same. Elsewhere nothing is remembered.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from threading import Lock

from service.planning.packing import NODE_LIMIT, Packing, Problem
from service.planning.packing import solve as solve_anew

PACKINGS_MOST = 2000
ITEMS_MOST = 64
"""Larger problems seldom come twice, and their packings are large: they are not remembered."""

_current: ContextVar[KnownPackings | None] = ContextVar("known packings", default=None)


class KnownPackings:
    """The packings of up to ``most`` problems, those that were asked for last. Safe to use from several threads."""

    def __init__(self, most: int = PACKINGS_MOST) -> None:
        self.solved = self.asked = 0
        self._most = most
        self._known: OrderedDict[tuple[Problem, int], Packing] = OrderedDict()
        self._lock = Lock()

    @contextmanager
    def in_use(self) -> Iterator[None]:
        """Have ``solve`` look here first as long as the block runs, in this thread."""
        token = _current.set(self)
        try:
            yield
        finally:
            _current.reset(token)

    def solve(self, problem: Problem, node_limit: int) -> Packing:
        """The packing, worked out where it is not known."""
        key = problem, node_limit
        with self._lock:
            self.asked += 1
            packing = self._known.get(key)
            if packing is not None:
                self._known.move_to_end(key)
                return packing
        packing = solve_anew(problem, node_limit)
        with self._lock:
            self.solved += 1
            self._known[key] = packing
            if len(self._known) > self._most:
                self._known.popitem(last=False)
        return packing


def solve(problem: Problem, node_limit: int = NODE_LIMIT) -> Packing:
    """As ``packing.solve``; what is known is not worked out again where ``KnownPackings`` are in use."""
    known = _current.get()
    if known is None or len(problem.items) > ITEMS_MOST:
        return solve_anew(problem, node_limit)
    return known.solve(problem, node_limit)

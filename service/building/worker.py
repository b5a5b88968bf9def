"""A worker: leases a chunk, works on its demands outside of any transaction, brings it in, and takes the next."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import suppress
from typing import TypeVar

from service.building.keeping import Keeper
from service.building.patience import patiently
from service.building.work import DemandWork
from service.domain.faults import Fault
from service.domain.takeoff import Chunk, Demand, DemandResult, Judged
from service.store import LEASE_S, Store, StoreError

DEMAND_S = 300.0
"""How long a single demand may take before it is taken for one that never ends; planning is bounded well below."""

FAILED = Fault("", "planning_failed", "Planning this splice point failed by a fault of the service, which is logged.")
_NO_CHOICE = "Choosing the kinds of closure failed by a fault of the service, which is logged."

_log = logging.getLogger(__name__)
_Answer = TypeVar("_Answer")
_SHORTEST_S, _LONGEST_S = 0.02, 0.2
"""An idle worker looks for chunks after a short rest, then after longer ones."""

_AFTER_TROUBLE_S = 1.0


class Worker:
    """Works on the chunks of a database's takeoffs.

    ``wait`` waits so many seconds, and says whether the worker is to end; it is asked between demands as well.
    ``stuck`` is called from another thread where a demand does not end.
    """

    def __init__(
        self,
        store: Store,
        work: DemandWork,
        name: str,
        wait: Callable[[float], bool],
        lease_s: float = LEASE_S,
        demand_s: float = DEMAND_S,
        stuck: Callable[[], None] = lambda: None,
    ) -> None:
        self.name = name
        self._store, self._work = store, work
        self._chunks = store.takeoffs.work
        self._wait, self._stuck = wait, stuck
        self._lease_s, self._demand_s = lease_s, demand_s

    def run(self) -> None:
        """Work until told to end."""
        rest = _SHORTEST_S
        while not self._wait(0):
            try:
                if self.take():
                    rest = _SHORTEST_S
                    continue
                self._wait(rest)
                rest = min(2 * rest, _LONGEST_S)
            except StoreError as error:
                _log.warning("worker %s: %s", self.name, error)
                self._wait(_AFTER_TROUBLE_S)

    def take(self, chunk: int | None = None) -> bool:
        """Take the chunk whose turn it is, or this one, and do it; False where there was none to take."""
        leased = self._chunks.lease(self.name, self._lease_s, chunk)
        if leased is None:
            return False
        do = {"judging": self._judge, "choosing": self._choose, "planning": self._plan}[leased.stage]
        try:
            with Keeper(self._chunks, leased, self._lease_s, self._demand_s, self._stuck) as keeper:
                do(leased, keeper)
        except StoreError:
            # The database's trouble is not to be held against the chunk, as a lease that runs out would be.
            with suppress(StoreError):
                self._chunks.hand_back(leased)
            raise
        return True

    def take_over(self, chunk: int) -> bool:
        """Take a chunk whose worker is known to be gone, and do it; False where it is done, or no longer wanted."""
        self._chunks.give_up(chunk)
        self._chunks.bury_expired()
        return self.take(chunk)

    def _plan(self, chunk: Chunk, keeper: Keeper) -> None:
        catalogue = self._store.snapshot_as_of(chunk.catalogue_revision)

        def plan(demand: Demand) -> DemandResult:
            try:
                return self._work.plan(catalogue, demand.number, demand.request, chunk.chosen, chunk.recorded)
            except Exception:
                _log.exception("takeoff %s: demand %d cannot be planned", chunk.takeoff, demand.number)
                return DemandResult(demand.number, None, faults=(FAILED,))

        results = self._each(chunk, keeper, plan)
        if results:
            self._bring(lambda: self._chunks.bring_planned(chunk, results))

    def _judge(self, chunk: Chunk, keeper: Keeper) -> None:
        catalogue = self._store.snapshot_as_of(chunk.catalogue_revision)

        def judge(demand: Demand) -> Judged:
            try:
                return self._work.judge(catalogue, demand.number, demand.request)
            except Exception:
                _log.exception("takeoff %s: demand %d cannot be judged", chunk.takeoff, demand.number)
                return Judged(demand.number, {})

        judgements = self._each(chunk, keeper, judge)
        if judgements:
            self._bring(lambda: self._chunks.bring_judged(chunk, judgements))

    def _choose(self, chunk: Chunk, keeper: Keeper) -> None:
        catalogue = self._store.snapshot_as_of(chunk.catalogue_revision)
        judged: Iterator[Judged] = self._store.takeoffs.judged(chunk.takeoff)
        try:
            choice = self._work.choose(catalogue, chunk.closure_kinds_most or 1, judged)
        except StoreError:
            raise
        except Exception:
            _log.exception("takeoff %s: kinds of closure cannot be chosen", chunk.takeoff)
            self._bring(lambda: self._chunks.stop(chunk, _NO_CHOICE))
            return
        self._bring(lambda: self._chunks.bring_chosen(chunk, choice))

    def _each(self, chunk: Chunk, keeper: Keeper, do: Callable[[Demand], _Answer]) -> list[_Answer]:
        """What comes of each demand; nothing where the chunk was lost or handed back in the meantime."""
        done: list[_Answer] = []
        for demand in self._chunks.demands(chunk):
            if keeper.lost:
                return []
            if self._wait(0):
                self._chunks.hand_back(chunk)
                return []
            keeper.next_demand()
            done.append(do(demand))
        keeper.next_demand()
        return done

    def _bring(self, bring: Callable[[], bool]) -> None:
        if not patiently(bring, self._wait):
            _log.info("worker %s: a chunk was another's, or no longer wanted, when it was done", self.name)

"""A worker: leases a chunk, works on its demands outside of any transaction, brings it in, and takes the next."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from typing import TypeVar

from service import __version__
from service.building.keeping import Keeper
from service.building.patience import patiently
from service.building.work import DemandWork
from service.domain.faults import Fault
from service.domain.takeoff import Chunk, Demand, DemandResult, Judged
from service.store import LEASE_S, NotFound, Store, StoreError

DEMAND_S = 300.0
"""How long a single demand may take before it is taken for one that never ends; planning is bounded well below."""

FAILED = Fault("", "planning_failed", "Planning this splice point failed by a fault of the service, which is logged.")
_NO_CHOICE = "Choosing the kinds of closure failed by a fault of the service, which is logged."
_NO_TOTALS = "Adding up the plans failed by a fault of the service, which is logged."

_log = logging.getLogger(__name__)
_Answer = TypeVar("_Answer")
_Item = TypeVar("_Item")
_SHORTEST_S, _LONGEST_S = 0.02, 0.2
"""An idle worker looks for chunks after a short rest, then after longer ones."""

_AFTER_TROUBLE_S = 1.0


class _Left(Exception):
    """The worker is to end, or has lost the chunk, in the midst of something that goes through all demands."""


class Worker:
    """Works on the chunks of a database's takeoffs.

    ``wait`` waits so many seconds, and says whether the worker is to end; it is asked between demands as well.
    ``stuck`` is called from another thread where a demand does not end. Takeoffs that another ``version`` of the
    service began are left to workers of that version, which is logged: plans of one takeoff are all made alike.
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
        version: str = __version__,
    ) -> None:
        self.name = name
        self._store, self._work = store, work
        self._chunks = store.takeoffs.work
        self._wait, self._stuck = wait, stuck
        self._lease_s, self._demand_s = lease_s, demand_s
        self._version = version
        self._left: set[str] = set()

    def run(self) -> None:
        """Work until told to end."""
        rest = _SHORTEST_S
        while not self._wait(0):
            try:
                if self.take():
                    rest = _SHORTEST_S
                    continue
                if rest == _LONGEST_S:
                    self._tell_left()
                self._wait(rest)
                rest = min(2 * rest, _LONGEST_S)
            except StoreError as error:
                _log.warning("worker %s: %s", self.name, error)
                self._wait(_AFTER_TROUBLE_S)

    def take(self, chunk: int | None = None) -> bool:
        """Take the chunk whose turn it is, or this one, and do it; False where there was none to take."""
        leased = self._chunks.lease(self.name, self._lease_s, chunk, self._version)
        if leased is None:
            return False
        stages = {"judging": self._judge, "choosing": self._choose, "planning": self._plan, "adding_up": self._add_up}
        do = stages[leased.stage]
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

    def _tell_left(self) -> None:
        """Log the takeoffs that wait for another version, each once."""
        for takeoff, version in self._chunks.left_by(self._version).items():
            if takeoff not in self._left:
                self._left.add(takeoff)
                told = "worker %s is of version %s and leaves takeoff %s to workers of version %s"
                _log.warning(told, self.name, self._version, takeoff, version)

    def _plan(self, chunk: Chunk, keeper: Keeper) -> None:
        catalogue = self._store.for_team(chunk.team).snapshot_as_of(chunk.catalogue_revision)

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
        catalogue = self._store.for_team(chunk.team).snapshot_as_of(chunk.catalogue_revision)

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
        catalogue = self._store.for_team(chunk.team).snapshot_as_of(chunk.catalogue_revision)
        most = chunk.closure_kinds_most or 1
        judged = self._gone_through(keeper, self._store.for_team(chunk.team).takeoffs.judged(chunk.takeoff))
        choice = self._whole(chunk, _NO_CHOICE, lambda: self._work.choose(catalogue, most, judged))
        if choice is not None:
            self._bring(lambda: self._chunks.bring_chosen(chunk, choice))

    def _add_up(self, chunk: Chunk, keeper: Keeper) -> None:
        planned = self._gone_through(keeper, self._store.for_team(chunk.team).takeoffs.answers(chunk.takeoff))
        totals = self._whole(chunk, _NO_TOTALS, lambda: self._work.add_up(planned))
        if totals is not None:
            self._bring(lambda: self._chunks.bring_added_up(chunk, totals))

    def _gone_through(self, keeper: Keeper, items: Iterable[_Item]) -> Iterator[_Item]:
        for item in items:
            if keeper.lost or self._wait(0):
                raise _Left
            keeper.next_demand()
            yield item
        keeper.next_demand()

    def _whole(self, chunk: Chunk, failed: str, do: Callable[[], _Answer]) -> _Answer | None:
        """What comes of a chunk that is not divided; where it fails the takeoff stops, and None is returned."""
        try:
            return do()
        except _Left:
            # Where the chunk was lost this changes nothing.
            self._chunks.hand_back(chunk)
        except NotFound:
            _log.info("takeoff %s was removed in the midst of %s", chunk.takeoff, chunk.stage)
        except StoreError:
            raise
        except Exception:
            _log.exception("takeoff %s: %s failed", chunk.takeoff, chunk.stage)
            self._bring(lambda: self._chunks.stop(chunk, failed))
        return None

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

"""Takeoffs as workers see them: chunks leased, worked on outside of any transaction, and brought in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from service.domain.takeoff import Choice, Chunk, Demand, DemandResult, Judged
from service.store.engines import Engines
from service.store.takeoffs import advancing, burying, completing, demands, leasing, queue
from service.store.takeoffs.completing import Bring
from service.store.takeoffs.cutting import Deliver
from service.store.takeoffs.leasing import LEASE_S
from service.store.takeoffs.locking import held
from service.store.takeoffs.packed import compressed


class TakeoffWork:
    """The chunks of one database's takeoffs.

    Whatever delivers chunks, late or twice: a chunk is done by whoever leased it last, and once.
    """

    def __init__(self, engines: Engines, clock: Callable[[], datetime], deliver: Callable[[], Deliver | None]) -> None:
        self._engines = engines
        self._clock = clock
        self._deliver = deliver

    def lease(
        self, worker: str, lease_s: float = LEASE_S, chunk: int | None = None, version: str | None = None
    ) -> Chunk | None:
        """Lease the chunk whose turn it is, or this one where it waits; None where there is nothing to do.

        Chunks whose worker has died in the meantime are seen to first. A ``version`` leaves alone what was begun by
        another version of the service, so that the plans of one takeoff are all made alike.
        """
        with self._engines.reading() as connection:
            if not leasing.waits(connection, version):
                return None
        self.bury_expired()
        with self._engines.writing() as connection:
            return leasing.lease(connection, worker, lease_s, chunk, version)

    def queue(self) -> queue.Queue:
        """How much waits to be worked on, and what came of the takeoffs that are kept, of all teams."""
        with self._engines.reading() as connection:
            return queue.standing(connection)

    def left_by(self, version: str) -> dict[str, str]:
        """The takeoffs at work that this version leaves to another one: their versions by their ids."""
        with self._engines.reading() as connection:
            return leasing.left_by(connection, version)

    def bury_expired(self) -> int:
        """See to the chunks whose leases ran out; returns how many."""
        buried = 0
        while True:
            with self._engines.reading() as connection:
                chunk = leasing.expired(connection)
            if chunk is None:
                return buried
            with self._engines.writing() as connection:
                buried += burying.bury(connection, chunk, self._clock(), self._deliver())

    def tell_again(self, most: int = 1000) -> int:
        """Have an engine told of chunks that wait, in case it never was; returns of how many."""
        with self._engines.writing() as connection:
            waiting, deliver = leasing.waiting(connection, most), self._deliver()
            if deliver is None or not waiting:
                return 0
            deliver(connection, waiting)
        return len(waiting)

    def renew(self, chunk: Chunk, lease_s: float = LEASE_S) -> bool:
        """Hold a chunk for longer; False where it is another's by now, or no longer wanted."""
        with self._engines.writing() as connection:
            return leasing.renew(connection, chunk, lease_s)

    def hand_back(self, chunk: Chunk) -> bool:
        """Give a chunk up unfinished, for another worker to take at once."""
        with self._engines.writing() as connection:
            turn = leasing.hand_back(connection, chunk)
            deliver = self._deliver()
            if turn is not None and deliver is not None:
                deliver(connection, [(chunk.id, turn)])
        return turn is not None

    def give_up_for(self, worker: str) -> int:
        """End the leases of a worker that is known to be dead; returns how many it had."""
        with self._engines.writing() as connection:
            return leasing.give_up_for(connection, worker)

    def give_up(self, chunk: int) -> bool:
        """End the lease of a chunk whose worker is known to be dead; False where nobody holds it."""
        with self._engines.writing() as connection:
            return leasing.give_up(connection, chunk)

    def lessees(self) -> list[str]:
        """The workers that hold chunks."""
        with self._engines.reading() as connection:
            return leasing.lessees(connection)

    def demands(self, chunk: Chunk) -> list[Demand]:
        """What a chunk is to work on; nothing where its takeoff is gone."""
        with self._engines.reading() as connection:
            return demands.of_chunk(connection, chunk)

    def bring_planned(self, chunk: Chunk, results: Sequence[DemandResult]) -> bool:
        """Complete a planning chunk, all of it or nothing; False where it is another's by now, or no longer wanted."""
        answers = [None if result.answer is None else compressed(result.answer) for result in results]
        return self._bring(chunk, completing.planned(chunk, results, answers))

    def bring_judged(self, chunk: Chunk, judgements: Sequence[Judged]) -> bool:
        """Complete a judging chunk, likewise."""
        return self._bring(chunk, completing.judged(chunk, judgements))

    def bring_chosen(self, chunk: Chunk, choice: Choice) -> bool:
        """Complete the choosing chunk, likewise."""
        return self._bring(chunk, completing.chosen(choice))

    def bring_added_up(self, chunk: Chunk, document: bytes) -> bool:
        """Complete the chunk that adds up, with the totals as JSON, likewise."""
        return self._bring(chunk, completing.added_up(document))

    def _bring(self, chunk: Chunk, bring: Bring) -> bool:
        with self._engines.writing() as connection:
            return completing.bring_in(connection, chunk, bring, self._clock(), self._deliver())

    def stop(self, chunk: Chunk, why: str) -> bool:
        """Stop the takeoff of a chunk that cannot be done; ``why`` is told to people. False as for bringing in."""
        with self._engines.writing() as connection:
            takeoff = held(connection, chunk.takeoff)
            if takeoff.state != "running" or leasing.still_held(connection, chunk) is None:
                return False
            advancing.end_early(connection, takeoff.number, "stopped", why, self._clock())
        return True

"""Takeoffs as the rest of the service sees them: received, read, ended. How workers see them is in ``work``."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime, timedelta
from typing import TypeVar

from sqlalchemy import Connection, select

from service.domain.takeoff import Demand, DemandAnswer, Judged, NewTakeoff, Point, PointResult, TakeoffStatus
from service.store import idempotency as keys
from service.store.audit.noting import Noted, note
from service.store.engines import Engines
from service.store.errors import NotFound
from service.store.idempotency import IdempotencyKey, StoredAnswer
from service.store.orders.sources import insist_on_removable
from service.store.takeoffs import advancing, demands, engine, receiving, removing, results, standing
from service.store.takeoffs.cutting import Deliver, Delivery
from service.store.takeoffs.locking import held
from service.store.takeoffs.results import PointFilter
from service.store.takeoffs.standing import TakeoffFilter
from service.store.takeoffs.tables import TakeoffRow
from service.store.takeoffs.work import TakeoffWork
from service.store.teams import EVERY_TEAM, mine

_ABANDONED = timedelta(hours=1)
"""How long nothing may come of a takeoff that is being received before it is taken for broken off."""

_READ = 200
"""Answers are read so many at a time."""

_EVERY = PointFilter()
_Numbered = TypeVar("_Numbered", DemandAnswer, Judged)
_table = TakeoffRow.__table__


class TakeoffStore:
    """The takeoffs of a team. ``work`` is that of all teams: whoever works leases whatever is to be done."""

    def __init__(self, engines: Engines, clock: Callable[[], datetime], delivery: Delivery) -> None:
        self._engines = engines
        self._clock = clock
        self._delivery = delivery
        self._all_teams = engines.for_team(EVERY_TEAM)
        self.work = TakeoffWork(self._all_teams, clock, lambda: self.deliver)

    @property
    def deliver(self) -> Deliver | None:
        """What tells an engine of new chunks, of whatever team; None: workers look for them."""
        return self._delivery.deliver

    @deliver.setter
    def deliver(self, deliver: Deliver | None) -> None:
        self._delivery.deliver = deliver

    def deliver_by_engine(self) -> str:
        """Have Procrastinate told of chunks from now on; returns the database's address as the engine wants it.

        Raises ``Unavailable`` where it is not installed, or the database not on PostgreSQL.
        """
        self.deliver = engine.prepared(self._engines)
        return engine.address(self._engines)

    # Received

    def begin(self, takeoff: NewTakeoff) -> None:
        """Begin to receive a takeoff. What earlier ones left behind that broke off is removed."""
        with self._engines.writing() as connection:
            receiving.forget_abandoned(connection, self._clock() - _ABANDONED)
            receiving.begin(connection, takeoff)

    def add_batch(self, takeoff_id: str, points: Sequence[Point], new: Sequence[Demand] = ()) -> None:
        """Store splice points and the demands that are new with them, all or none; see ``receiving.add``."""
        with self._engines.writing() as connection:
            receiving.add(connection, takeoff_id, points, new, self._clock())

    def start(self, takeoff_id: str, idempotency: IdempotencyKey | None = None) -> StoredAnswer | None:
        """Let the work begin, and take the key in the same transaction; raises ``NotFound`` unless it is received.

        Returns None where it began. Where another request has the key, that one's answer is returned and this
        takeoff is removed again: the caller replays the answer, or refuses where its ``request_hash`` differs.
        """
        with self._engines.writing() as connection:
            takeoff = held(connection, takeoff_id)
            if takeoff.state != "receiving":
                raise NotFound("No such takeoff is being received.")
            taken = None if idempotency is None else keys.claim(connection, idempotency, takeoff_id)
            if taken is not None:
                removing.remove(connection, takeoff.number)
                return taken
            advancing.start(connection, takeoff, self._clock(), self.deliver)
            note(connection, Noted("begin", "takeoffs", takeoff_id, None, None))
        return None

    def discard(self, takeoff_id: str) -> None:
        """Remove a takeoff that is still being received; nothing happens where there is none."""
        gone = select(_table.c.number).where(_table.c.id == takeoff_id, _table.c.state == "receiving")
        with self._engines.writing() as connection:
            number = connection.scalars(gone.where(mine(connection, _table)).with_for_update()).one_or_none()
            if number is not None:
                removing.remove(connection, number)

    # Read

    def get(self, takeoff_id: str) -> TakeoffStatus:
        """Where a takeoff stands; raises ``NotFound``."""
        with self._engines.reading() as connection:
            return standing.fetch(connection, takeoff_id)

    def listed(
        self,
        limit: int = 100,
        after: tuple[datetime, str] | None = None,
        which: TakeoffFilter | None = None,
    ) -> list[TakeoffStatus]:
        """Takeoffs, the newest first, from behind the one ``after`` (time, id)."""
        with self._engines.reading() as connection:
            return standing.listed(connection, limit, after, which or TakeoffFilter())

    def points(
        self, takeoff_id: str, after: int = 0, limit: int = 100, which: PointFilter = _EVERY, answers: bool = False
    ) -> Sequence[PointResult]:
        """Splice points with their results from behind the place ``after``; raises ``NotFound``."""
        with self._engines.reading() as connection:
            number = standing.number_of(connection, takeoff_id)
            return results.listed(connection, number, after, limit, which, answers)

    def point(self, takeoff_id: str, place: int) -> PointResult:
        """One splice point with its answer; raises ``NotFound``."""
        with self._engines.reading() as connection:
            return results.fetch(connection, standing.number_of(connection, takeoff_id), place)

    def answers(self, takeoff_id: str) -> Iterator[DemandAnswer]:
        """The answers of all demands that have one, by number; raises ``NotFound``."""
        return self._paged(takeoff_id, demands.answered)

    def judged(self, takeoff_id: str) -> Iterator[Judged]:
        """What closures would come to for all demands that were judged, by number; raises ``NotFound``."""
        return self._paged(takeoff_id, demands.judged)

    def _paged(
        self, takeoff_id: str, read: Callable[[Connection, int, int, int], Sequence[_Numbered]]
    ) -> Iterator[_Numbered]:
        last = 0
        while True:
            with self._engines.reading() as connection:
                some = read(connection, standing.number_of(connection, takeoff_id), last, _READ)
            yield from some
            if not some:
                return
            last = some[-1].number

    def choice(self, takeoff_id: str) -> bytes | None:
        """The document that tells of the choice of closures (JSON), None before or without one."""
        return self._document(takeoff_id, "choice")

    def totals(self, takeoff_id: str) -> bytes | None:
        """What ``keep_totals`` kept."""
        return self._document(takeoff_id, "totals")

    def _document(self, takeoff_id: str, column: str) -> bytes | None:
        with self._engines.reading() as connection:
            number = standing.number_of(connection, takeoff_id)
            query = select(_table.c[column]).where(mine(connection, _table), _table.c.number == number)
            text: str | None = connection.scalars(query).one()
        return None if text is None else text.encode()

    # Changed

    def keep_totals(self, takeoff_id: str, document: bytes) -> None:
        """Keep the totals of a takeoff that has ended (JSON), so that they are added up once."""
        with self._engines.writing() as connection:
            takeoff = held(connection, takeoff_id)
            if takeoff.ended is None:
                raise ValueError("the totals of a takeoff are known when it has ended")
            advancing.change(connection, takeoff.number, totals=document.decode())

    def cancel(self, takeoff_id: str, why: str | None = None) -> bool:
        """Work on a takeoff no longer; what was planned can still be read. Raises ``NotFound``.

        False where it had ended already. What workers are at is not brought in.
        """
        with self._engines.writing() as connection:
            takeoff = held(connection, takeoff_id)
            if takeoff.state not in ("receiving", "running"):
                return False
            advancing.end_early(connection, takeoff.number, "cancelled", why, self._clock())
            note(connection, Noted("cancel", "takeoffs", takeoff_id, None, None))
        return True

    def delete(self, takeoff_id: str) -> None:
        """Remove a takeoff with everything that belongs to it, in whatever state it is.

        Raises ``NotFound``, and ``InOrder`` where an order that is not over was made from it.
        """
        with self._engines.writing() as connection:
            insist_on_removable(connection, "takeoff", takeoff_id)
            removing.remove(connection, held(connection, takeoff_id).number)
            note(connection, Noted("remove", "takeoffs", takeoff_id, None, None))

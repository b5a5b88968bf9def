"""The store: the catalogue and its history, stored plans, and the answers kept under idempotency keys."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from typing import Any, Literal

from sqlalchemy import Connection, select

from service.documents.request import request_from
from service.store import entries, plans, schema, single, snapshots, sqlite, usage, whole
from service.store import idempotency as keys
from service.store.access import AccessStore
from service.store.audit import AuditStore
from service.store.database import Database
from service.store.engines import Engines
from service.store.entries import StoredEntry
from service.store.errors import Busy
from service.store.hanging_entries import as_asked
from service.store.idempotency import IdempotencyKey, StoredAnswer
from service.store.installations import InstallationStore
from service.store.moments import utc_now
from service.store.orders import OrderStore, StockStore
from service.store.orders.sources import insist_on_removable
from service.store.plans import NewPlan, PlanFilter, PlanSummary, StoredPlan
from service.store.preconditions import Expectation
from service.store.records import RecordStore
from service.store.single import PutResult
from service.store.snapshots import Snapshot
from service.store.tables import CatalogueState
from service.store.takeoffs import TakeoffStore
from service.store.teams import DEFAULT_TEAM_ID, mine
from service.store.text import read
from service.store.webhooks.facade import WebhookStore
from service.store.whole import CatalogueChange

_IDS_READ = 500
"""How many ids are read at a time when all plans are gone through."""

_FORGET_EVERY = timedelta(hours=1)
"""How often expired idempotency keys are deleted, in passing, by a process that stores plans."""

_EARLIER_KEPT = 8
"""How many earlier catalogues are kept in memory while plans are computed again."""


class _KeyTaken(Exception):
    def __init__(self, answer: StoredAnswer) -> None:
        self.answer = answer


class Store:
    """What a team has in a database, safe to use from several threads and from processes forked later.

    What can go wrong outside of the program is raised as a ``StoreError`` (see ``errors``), and as ``Refused`` what
    the rules of the trade refuse. Before the first use the schema is checked; ``upgrade`` makes or mends it, for all
    teams. ``takeoffs.work``, ``webhooks.work`` and ``access`` are those of all teams.
    """

    def __init__(self, database: Database, team: int) -> None:
        self._database = database
        self._engines, self._clock = database.engines.for_team(team), database.clock
        self._lock = threading.Lock()
        self.team = team
        self.audit = AuditStore(self._engines)
        self.access = AccessStore(database.engines, self._clock)
        self.takeoffs = TakeoffStore(self._engines, self._clock, database.delivery)
        self.orders = OrderStore(self._engines, self._clock)
        self.stock = StockStore(self._engines)
        self.installations = InstallationStore(self._engines, self._clock, self._snapshot_in)
        self.records = RecordStore(self._engines, self._clock)
        self.webhooks = WebhookStore(self._engines, self._clock)
        self._forget()

    def for_team(self, team: int) -> Store:
        """The store of a team, by its number; the same object for as long as the program runs."""
        with self._database.lock:
            stores = self._database.stores
            return stores[team] if team in stores else stores.setdefault(team, Store(self._database, team))

    def _forget(self) -> None:
        self._snapshot = Snapshot()
        self._earlier: OrderedDict[int, Snapshot] = OrderedDict()
        self._marked: set[str] = set()
        self._key: bytes | None = None
        self._forget_next = datetime.min.replace(tzinfo=UTC)

    # The schema

    def upgrade(self, revision: str = "head") -> None:
        """Bring the schema up to a revision; an SQLite file is made where there is none."""
        self._move(revision, up=True)

    def downgrade(self, revision: str) -> None:
        """Bring the schema down to a revision (``"base"``: no tables, and nothing in them)."""
        self._move(revision, up=False)

    def _move(self, revision: str, up: bool) -> None:
        with self._engines.migrating() as connection:
            schema.move(connection, revision, up)
        with self._database.lock:
            for store in self._database.stores.values():
                store._forget()

    def schema_revision(self) -> str | None:
        """The schema revision that the database is at; None where it has no tables yet."""
        with self._engines.looking() as connection:
            return schema.standing(connection)

    def insist_on_sound(self, whole: bool = False) -> None:
        """Raise ``Damaged`` where an SQLite file's pages do not hang together; ``whole``: or an index and its table.

        PostgreSQL looks after its own pages.
        """
        if self._engines.is_sqlite:
            with self._engines.looking() as connection:
                sqlite.insist_on_sound(connection, whole)

    def close(self) -> None:
        """Close the connections of this process; the next use opens new ones."""
        self._engines.close()

    # The catalogue, read

    def catalogue_revision(self) -> int:
        """The catalogue's revision, counted from 0 (nothing was ever written)."""
        with self._engines.reading() as connection:
            return snapshots.current_revision(connection)

    def snapshot(self) -> Snapshot:
        """The catalogue as it is now; the same object as long as nothing changes."""
        held = self._snapshot
        with self._engines.reading() as connection:
            if snapshots.current_revision(connection) == held.catalogue_revision:
                return held
        with self._engines.reading_at_once() as connection:
            return self._advanced(connection, snapshots.current_revision(connection))

    def _advanced(self, connection: Connection, revision: int) -> Snapshot:
        fresh = self._snapshot = snapshots.advanced(connection, self._snapshot, revision)
        return fresh

    def _snapshot_in(self, connection: Connection) -> Snapshot:
        """The catalogue as a transaction sees it that has not changed it."""
        return self._advanced(connection, snapshots.current_revision(connection))

    def snapshot_as_of(self, catalogue_revision: int) -> Snapshot:
        """The catalogue as it was at an earlier catalogue revision; raises ``NotFound`` for one to come."""
        with self._lock:
            if catalogue_revision in self._earlier:
                self._earlier.move_to_end(catalogue_revision)
                return self._earlier[catalogue_revision]
        with self._engines.reading_at_once() as connection:
            found = snapshots.as_of(connection, catalogue_revision)
        with self._lock:
            self._earlier[catalogue_revision] = found
            while len(self._earlier) > _EARLIER_KEPT:
                self._earlier.popitem(last=False)
        return found

    def catalogue_of(self, plan: StoredPlan) -> Snapshot:
        """The catalogue that a stored plan was made from, with what hung there then where it adds to a hung closure."""
        found = self.snapshot_as_of(plan.catalogue_revision)
        return as_asked(found, request_from(read(plan.request.decode())))

    def entry(self, kind: str, code: str) -> StoredEntry:
        """A catalogue entry, retired or not; raises ``NotFound``."""
        with self._engines.reading() as connection:
            return entries.fetch(connection, kind, code)

    def entries(
        self,
        kind: str,
        limit: int = 100,
        after: str | None = None,
        retired: bool | None = None,
        text: str | None = None,
    ) -> list[StoredEntry]:
        """Up to ``limit`` entries of a section by code, from behind the code ``after``; ``text`` as in ``listed``."""
        with self._engines.reading() as connection:
            return entries.listed(connection, kind, limit, after, retired, text)

    def catalogue_document(self) -> tuple[dict[str, Any], int]:
        """The whole catalogue as a document, retired entries marked, and the catalogue's revision."""
        with self._engines.reading_at_once() as connection:
            return dict(entries.everything(connection)), snapshots.current_revision(connection)

    # The catalogue, changed

    def put_entry(self, kind: str, code: str, document: Mapping[str, Any], expect: Expectation) -> PutResult:
        """Create or replace an entry; see ``single.put``."""
        with self._engines.writing() as connection:
            return single.put(connection, self._advanced, kind, code, document, expect, self._clock())

    def delete_entry(self, kind: str, code: str, expect: Expectation) -> Literal["removed", "retired"]:
        """Remove an entry, or retire it where something needs it; see ``single.remove``."""
        with self._engines.writing() as connection:
            return single.remove(connection, kind, code, expect, self._clock())

    def put_catalogue(self, document: Mapping[str, Any], expect: Expectation) -> CatalogueChange:
        """Replace the whole catalogue, all or nothing; see ``whole.replace``."""
        with self._engines.writing() as connection:
            return whole.replace(connection, document, expect, self._clock())

    def put_catalogue_once(
        self,
        document: Mapping[str, Any],
        expect: Expectation,
        keyed: Callable[[CatalogueChange], IdempotencyKey | None],
    ) -> CatalogueChange | StoredAnswer:
        """The same, with the key that ``keyed`` makes of what was changed taken in the same transaction.

        Where another request has the key nothing is changed, and that request's answer is given.
        """
        try:
            with self._engines.writing() as connection:
                change = whole.replace(connection, document, expect, self._clock())
                key = keyed(change)
                taken = None if key is None else keys.claim(connection, key, "")
                if taken is not None:
                    raise _KeyTaken(taken)
                return change
        except _KeyTaken as taken_by_another:
            return taken_by_another.answer

    def try_catalogue(self, document: Mapping[str, Any], expect: Expectation) -> CatalogueChange:
        """What ``put_catalogue`` would change; nothing is."""
        with self._engines.reading_at_once() as connection:
            return whole.replace(connection, document, expect, self._clock(), keep=False)

    # Plans

    def add_plan(
        self,
        plan: NewPlan,
        snapshot: Snapshot,
        uses: Iterable[str] = (),
        idempotency: IdempotencyKey | None = None,
    ) -> StoredAnswer | None:
        """Store a plan made from ``snapshot``, marking the entries it ``uses`` ("kind/code") as used.

        The key is taken in the same transaction. Returns None where the plan was stored. Where another request
        has the key, nothing is stored and that request's answer is returned: the caller replays it, or refuses
        where its ``request_hash`` differs.
        """
        if plan.catalogue_revision != snapshot.catalogue_revision:
            raise ValueError("the plan was made from another catalogue revision than the snapshot's")
        new = [key for key in uses if key not in self._marked]
        try:
            with self._engines.writing() as connection:
                if idempotency is not None:
                    taken = keys.claim(connection, idempotency, plan.id)
                    if taken is not None:
                        raise _KeyTaken(taken)
                plans.add(connection, plan)
                usage.mark_used(connection, new)
        except _KeyTaken as taken_by_another:
            return taken_by_another.answer
        # An entry that a plan uses is never removed, so a mark that is set stays set.
        self._marked.update(new)
        if idempotency is not None and idempotency.created >= self._forget_next:
            self._forget_next = idempotency.created + _FORGET_EVERY
            # A transaction of its own: the plan stands, and what cannot be tidied now is tidied in an hour.
            with suppress(Busy), self._engines.writing() as connection:
                keys.forget(connection, idempotency.created)
        return None

    def idempotent(self, key: str) -> StoredAnswer | None:
        """The answer given under a key that has not expired, or None."""
        with self._engines.reading() as connection:
            return keys.find(connection, key, self._clock())

    def forget_expired(self) -> int:
        """Delete the idempotency keys that have expired; returns how many."""
        with self._engines.writing() as connection:
            return keys.forget(connection, self._clock())

    def plan(self, plan_id: str) -> StoredPlan:
        """A stored plan; raises ``NotFound``."""
        with self._engines.reading() as connection:
            return plans.fetch(connection, plan_id)

    def plans(
        self,
        limit: int = 100,
        after: tuple[datetime, str] | None = None,
        closure: str | None = None,
        fits: bool | None = None,
        name: str | None = None,
        created_from: datetime | None = None,
        created_to: datetime | None = None,
    ) -> list[PlanSummary]:
        """Stored plans, the newest first, from behind the plan ``after`` (time, id); see ``plans.PlanFilter``."""
        which = PlanFilter(closure, fits, name, created_from, created_to)
        with self._engines.reading() as connection:
            return plans.listed(connection, limit, after, which)

    def plan_ids(self) -> Iterator[str]:
        """The ids of all plans in their own order; plans stored meanwhile may or may not be among them."""
        last = ""
        while True:
            with self._engines.reading() as connection:
                some = list(plans.ids(connection, last, _IDS_READ))
            yield from some
            if not some:
                return
            last = some[-1]

    def delete_plan(self, plan_id: str) -> None:
        """Delete a plan; raises ``NotFound``, and ``InOrder`` where an order that is not over was made from it."""
        with self._engines.writing() as connection:
            insist_on_removable(connection, "plan", plan_id)
            plans.remove(connection, plan_id)

    # The rest

    def cursor_key(self) -> bytes:
        """The key that list cursors are signed with: random, made with the team, the same in every process."""
        if self._key is None:
            with self._engines.reading() as connection:
                query = select(CatalogueState.cursor_key).where(mine(connection, CatalogueState))
                self._key = connection.scalars(query).one()
        return self._key


def open_store(url: str, clock: Callable[[], datetime] = utc_now) -> Store:
    """The store of the team ``default`` at a database URL; ``for_team`` gives those of the others.

    The URL is ``sqlite:///file.db`` or ``postgresql://…``. Connects when first used.
    """
    database = Database(Engines(url, schema.check), clock)
    store = database.stores[DEFAULT_TEAM_ID] = Store(database, DEFAULT_TEAM_ID)
    return store

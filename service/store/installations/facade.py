"""Hung closures as the rest of the service sees them: hung, read, changed by visits."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import Connection

from service.domain.installation import Installation, LaidSplice, Place, Visit
from service.domain.installation_summary import InstallationSummary, PlannedFor, entries_in
from service.domain.plan import ParkedEnds
from service.store import idempotency as keys
from service.store import plans, usage
from service.store.engines import Engines
from service.store.errors import Stale
from service.store.idempotency import IdempotencyKey, StoredAnswer
from service.store.installations import addition_plans, rows
from service.store.installations.errors import Changed
from service.store.installations.listing import InstallationFilter, listed
from service.store.plans import NewPlan
from service.store.preconditions import Expectation, hold
from service.store.snapshots import current_revision
from service.store.webhooks.filled import SnapshotNow, tell_filled


@dataclass(frozen=True, slots=True)
class Change:
    """What a visit makes of an installation: ``before`` as it was read, ``after`` at the next revision."""

    before: Installation
    after: Installation
    visit: Visit


@dataclass(frozen=True, slots=True)
class AdditionPlan:
    """A plan into the installation ``into`` to be stored, and the entries ("kind/code") that it was made from."""

    plan: NewPlan
    into: Installation
    uses: frozenset[str]


class InstallationStore:
    """The hung closures of one database.

    A change is one transaction: the installation, guarded by the revision that the change was worked out from, its
    visit, its plan and its idempotency key. Entries that hang somewhere can be retired but no longer removed.
    """

    def __init__(self, engines: Engines, clock: Callable[[], datetime], catalogue: SnapshotNow) -> None:
        self._engines = engines
        self._clock = clock
        self._catalogue = catalogue

    # Read

    def get(self, installation_id: str, expect: Expectation | None = None) -> Installation:
        """An installation as it stands; raises ``NotFound``, and ``Stale`` where it is not as expected."""
        with self._engines.reading() as connection:
            found = rows.fetch(connection, installation_id)
        if expect is not None:
            hold(expect, found.revision, "The installation")
        return found

    def listed(
        self, limit: int = 100, after: tuple[datetime, str] | None = None, which: InstallationFilter | None = None
    ) -> list[InstallationSummary]:
        """Installations, the newest first, from behind the installation ``after`` (time, id)."""
        # In one transaction, which rows that are read one by one need on PostgreSQL.
        with self._engines.reading_at_once() as connection:
            return listed(connection, limit, after, which or InstallationFilter())

    def visits(self, installation_id: str, limit: int = 100, before: int | None = None) -> list[Visit]:
        """The visits of an installation, the newest first, from behind the one of number ``before``.

        Raises ``NotFound`` where there is no such installation.
        """
        with self._engines.reading_at_once() as connection:
            rows.revision_of(connection, installation_id)
            return rows.visits(connection, installation_id, limit, before)

    def lying(self, plan_id: str) -> tuple[LaidSplice, ...]:
        """The splices that lay in the closure when a stored plan into it was made; none for any other plan."""
        with self._engines.reading() as connection:
            return addition_plans.lying(connection, plan_id)

    def parked(self, plan_id: str) -> tuple[tuple[int, ParkedEnds], ...]:
        """The ends that lay parked in the closure then, each with the position of its tray."""
        with self._engines.reading() as connection:
            return addition_plans.parked(connection, plan_id)

    # Changed

    def hang(
        self, installation: Installation, visit: Visit, again: bool = False, idempotency: IdempotencyKey | None = None
    ) -> StoredAnswer | None:
        """Store a closure that was hung on ``visit``, its first.

        Returns None where it was stored; where another request has the key nothing is, and that request's answer is
        returned. Raises ``HungAlready`` where one hangs by the same plan, unless ``again``.
        """
        with self._once(installation.id, idempotency) as (connection, taken):
            if taken is not None:
                return taken
            # Two requests that hang one plan meet here: the second sees what the first has stored.
            current_revision(connection, lock=True)
            if visit.plan is not None and not again:
                rows.insist_not_hung(connection, visit.plan)
            rows.add(connection, installation, visit)
            tell_filled(connection, self._catalogue, None, installation, visit.recorded)
            usage.mark_used(connection, entries_in(installation.contents))
        return None

    def change(
        self, change: Change, expect: Expectation | None = None, idempotency: IdempotencyKey | None = None
    ) -> StoredAnswer | None:
        """Store what a visit changed. Returns as ``hang`` does.

        Raises ``NotFound``, and where another visit was recorded since ``before`` was read ``Changed``, or ``Stale``
        for a caller that said what it ``expect``ed. Nothing is stored then.
        """
        with self._once(change.after.id, idempotency) as (connection, taken):
            if taken is not None:
                return taken
            self._replace(connection, change, expect)
        return None

    def keep_plan(
        self,
        addition: AdditionPlan,
        change: Change | None = None,
        expect: Expectation | None = None,
        idempotency: IdempotencyKey | None = None,
    ) -> StoredAnswer | None:
        """Store a plan into an installation, and with ``change`` the visit on which it was carried out.

        Returns as ``hang`` does, and raises as ``change`` does.
        """
        plan, into = addition.plan, addition.into
        with self._once(plan.id, idempotency) as (connection, taken):
            if taken is not None:
                return taken
            plans.add(connection, plan)
            visit = None if change is None else change.visit.number
            planned = PlannedFor(into.id, into.revision, visit)
            addition_plans.add(connection, plan.id, planned, into.contents)
            if change is None:
                self._insist(connection, into, expect)
                usage.mark_used(connection, addition.uses)
            else:
                self._replace(connection, change, expect, addition.uses)
        return None

    def carry_out(
        self,
        plan_id: str,
        change: Change,
        expect: Expectation | None = None,
        idempotency: IdempotencyKey | None = None,
    ) -> StoredAnswer | None:
        """Store the visit on which a plan that was kept earlier was carried out.

        Returns as ``hang`` does. Raises as ``change`` does, and ``NotFound`` for a plan that is gone or was recorded.
        """
        with self._once(change.after.id, idempotency) as (connection, taken):
            if taken is not None:
                return taken
            self._replace(connection, change, expect)
            addition_plans.carried_out(connection, plan_id, change.before.revision, change.visit.number)
        return None

    def rename(self, installation_id: str, place: Place, expect: Expectation) -> Installation:
        """Say where an installation hangs; the same again makes no new revision. Raises ``NotFound``, ``Stale``."""
        with self._engines.writing() as connection:
            found = rows.fetch(connection, installation_id, lock=True)
            hold(expect, found.revision, "The installation")
            if found.place == place:
                return found
            renamed = replace(found, place=place, revision=found.revision + 1)
            rows.replace_at(connection, found.revision, renamed, None, self._clock())
            return renamed

    def delete(self, installation_id: str, expect: Expectation) -> None:
        """Remove an installation with its visits; raises ``NotFound``, ``Stale``. Plans into it stay."""
        with self._engines.writing() as connection:
            revision = rows.revision_of(connection, installation_id, lock=True)
            hold(expect, revision, "The installation")
            rows.remove(connection, installation_id, revision)

    def _replace(
        self, connection: Connection, change: Change, expect: Expectation | None, uses: frozenset[str] = frozenset()
    ) -> None:
        before, after = change.before, change.after
        if not rows.replace_at(connection, before.revision, after, change.visit, change.visit.recorded):
            raise _moved_on(rows.revision_of(connection, before.id), expect)
        tell_filled(connection, self._catalogue, before.contents, after, change.visit.recorded)
        usage.mark_used(connection, uses | entries_in(after.contents))

    def _insist(self, connection: Connection, read: Installation, expect: Expectation | None) -> None:
        current = rows.revision_of(connection, read.id, lock=True)
        if current != read.revision:
            raise _moved_on(current, expect)

    @contextmanager
    def _once(self, id: str, idempotency: IdempotencyKey | None) -> Iterator[tuple[Connection, StoredAnswer | None]]:
        """A transaction that takes the key first, and the answer of the request that has it where one does."""
        with self._engines.writing() as connection:
            taken = None if idempotency is None else keys.claim(connection, idempotency, id)
            yield connection, taken


def _moved_on(current: int, expect: Expectation | None) -> Changed | Stale:
    if expect is None:
        return Changed(current)
    return Stale(f"The installation is at revision {current} by now.", current)

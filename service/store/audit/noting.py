"""Adding to the record of changes, in the transaction of the change itself: never the one without the other."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from sqlalchemy import Connection, insert

from service.domain.audit import RecordedKind
from service.store.audit.acting import acting
from service.store.audit.tables import AuditRow
from service.store.moments import utc_now


class Noted(NamedTuple):
    """A change to be recorded; see ``AuditEntry`` for what its members mean."""

    operation: str
    kind: RecordedKind
    item: str
    before: int | None
    after: int | None


def note(connection: Connection, *changes: Noted) -> None:
    """Record changes that whoever acts in this thread makes to rows of the connection's team."""
    note_all(connection, changes)


def note_all(connection: Connection, changes: Iterable[Noted]) -> None:
    """The same for many."""
    actor = acting()
    shared = {"created": utc_now(), "token": actor.token, "actor": actor.name}
    rows = [{**shared, **change._asdict()} for change in changes]
    if rows:
        connection.execute(insert(AuditRow), rows)

"""The record of changes as the rest of the service sees it: read, the newest first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import literal, select, tuple_

from service.domain.audit import AUDITED, Actor, AuditEntry, RecordedKind
from service.store.audit.tables import AuditRow
from service.store.engines import Engines
from service.store.moments import Moment
from service.store.teams import mine
from service.store.text import keepable

_table = AuditRow.__table__


@dataclass(frozen=True, slots=True)
class AuditFilter:
    """Which changes to list: those of these ``kinds``; a member that is None does not narrow it. ``since`` is in."""

    kinds: tuple[RecordedKind, ...] = AUDITED
    item: str | None = None
    since: datetime | None = None


class AuditStore:
    """The record of a team's changes."""

    def __init__(self, engines: Engines) -> None:
        self._engines = engines

    def listed(self, limit: int, after: tuple[datetime, str] | None, which: AuditFilter) -> list[AuditEntry]:
        """Up to ``limit`` changes, the newest first, from behind the one ``after`` (time, id)."""
        if which.item is not None and not keepable(which.item):
            return []
        query = select(_table).where(_table.c.kind.in_(which.kinds))
        if which.item is not None:
            query = query.where(_table.c.item == which.item)
        if which.since is not None:
            query = query.where(_table.c.created >= which.since)
        if after is not None:
            place = tuple_(literal(after[0], Moment), literal(int(after[1])))
            query = query.where(tuple_(_table.c.created, _table.c.number) < place)
        query = query.order_by(_table.c.created.desc(), _table.c.number.desc()).limit(limit)
        with self._engines.reading() as connection:
            rows = connection.execute(query.where(mine(connection, _table))).all()
        return [
            AuditEntry(
                id=str(row.number),
                created=row.created,
                by=Actor(row.actor, row.token),
                operation=row.operation,
                kind=row.kind,
                item=row.item,
                before=row.before,
                after=row.after,
            )
            for row in rows
        ]

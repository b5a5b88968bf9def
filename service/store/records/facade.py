"""Splice records as the rest of the service sees them: added, read back, and added up by form."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, func, insert, literal, select, text, tuple_

from service.documents.records import record_from, record_to
from service.domain.records import SpliceRecord, Tally
from service.store import idempotency as keys
from service.store.audit.noting import Noted, note_all
from service.store.engines import Engines
from service.store.idempotency import IdempotencyKey, StoredAnswer
from service.store.records.tables import SpliceRecordRow
from service.store.teams import mine
from service.store.text import keepable, read, written

_table = SpliceRecordRow.__table__
_later = _table.alias("later")


class NumberedRecord(NamedTuple):
    """A record, and which of its splice's it is, counted from 1."""

    number: int
    record: SpliceRecord


class RecordStore:
    """The splice records of one database."""

    def __init__(self, engines: Engines, clock: Callable[[], datetime]) -> None:
        self._engines = engines
        self._clock = clock

    def add(
        self, records: Sequence[SpliceRecord], idempotency: IdempotencyKey | None = None, id: str = ""
    ) -> StoredAnswer | None:
        """Store records, all of them or none, in their order behind those that there are of their splices.

        Returns None where they were stored; where another request has the key nothing is, and that request's answer is
        returned. ``id`` is what the key's answer is about.
        """
        with self._engines.writing() as connection:
            taken = None if idempotency is None else keys.claim(connection, idempotency, id)
            if taken is None:
                self.add_within(connection, records)
            return taken

    def add_within(self, connection: Connection, records: Sequence[SpliceRecord]) -> None:
        """The same within a transaction for writing that is open already."""
        if not records:
            return
        if connection.dialect.name == "postgresql":
            # One writer at a time, so that no two give a splice's next number; SQLite has only one anyway.
            connection.execute(text("LOCK TABLE splice_records IN SHARE ROW EXCLUSIVE MODE"))
        numbers = _last_numbers(connection, {record.installation for record in records})
        now, rows = self._clock(), []
        for record in records:
            key = (record.installation, record.splice)
            numbers[key] = numbers.get(key, 0) + 1
            rows.append(_row(record, numbers[key], now))
        connection.execute(insert(SpliceRecordRow), rows)
        hung = sorted({record.installation for record in records})
        note_all(connection, (Noted("record", "installations", each, None, None) for each in hung))

    def of(self, installation_id: str) -> list[SpliceRecord]:
        """All records of an installation, by splice and those of a splice as they came; empty where there is none."""
        if not keepable(installation_id):
            return []
        query = select(_table.c.document).where(_table.c.installation_id == installation_id)
        with self._engines.reading() as connection:
            query = query.where(mine(connection, _table))
            documents = connection.scalars(query.order_by(_table.c.splice, _table.c.sequence)).all()
        return [record_from(installation_id, read(document)) for document in documents]

    def page(self, installation_id: str, limit: int, after: tuple[int, int] | None = None) -> list[NumberedRecord]:
        """Records of an installation by splice and as they came, from behind one of this splice and number."""
        if not keepable(installation_id):
            return []
        place = tuple_(_table.c.splice, _table.c.sequence)
        query = select(_table.c.sequence, _table.c.document).where(_table.c.installation_id == installation_id)
        if after is not None:
            query = query.where(place > tuple_(literal(after[0]), literal(after[1])))
        with self._engines.reading() as connection:
            query = query.where(mine(connection, _table))
            rows = connection.execute(query.order_by(_table.c.splice, _table.c.sequence).limit(limit)).all()
        return [NumberedRecord(number, record_from(installation_id, read(document))) for number, document in rows]

    def tallies(self) -> tuple[Tally, ...]:
        """Joints and remakes by form over all installations; of each splice its last record counts."""
        following = select(_later.c.splice).where(
            _later.c.team == _table.c.team,
            _later.c.installation_id == _table.c.installation_id,
            _later.c.splice == _table.c.splice,
            _later.c.sequence == _table.c.sequence + 1,
        )
        sums = func.count(), func.sum(_table.c.remakes), func.sum(_table.c.remakes_after_shrinking)
        query = select(_table.c.form, *sums).where(~following.exists()).group_by(_table.c.form)
        with self._engines.reading() as connection:
            rows = connection.execute(query.where(mine(connection, _table))).all()
        return tuple(sorted(Tally(form, *map(int, counts)) for form, *counts in rows))


def _last_numbers(connection: Connection, installations: set[str]) -> dict[tuple[str, int], int]:
    """The number of the last record of each splice of these installations."""
    query = select(_table.c.installation_id, _table.c.splice, func.max(_table.c.sequence))
    query = query.where(mine(connection, _table), _table.c.installation_id.in_(sorted(installations)))
    rows = connection.execute(query.group_by(_table.c.installation_id, _table.c.splice))
    return {(installation, splice): number for installation, splice, number in rows}


def _row(record: SpliceRecord, sequence: int, now: datetime) -> dict[str, Any]:
    return {
        "installation_id": record.installation,
        "splice": record.splice,
        "sequence": sequence,
        "form": record.form,
        "fibres": record.fibres,
        "remakes": record.remakes,
        "remakes_after_shrinking": record.sleeves_lost,
        "document": written(record_to(record)),
        "created": now,
    }

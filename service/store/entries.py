"""Reading catalogue entries as they are now, retired ones included."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, select

from service.domain.catalogue import KINDS
from service.store.errors import NotFound
from service.store.tables import EntryRow
from service.store.teams import mine
from service.store.text import contains, keepable, read


@dataclass(frozen=True, slots=True)
class StoredEntry:
    """An entry and where it stands; ``document`` is its content alone, without ``revision`` and ``retired``."""

    kind: str
    code: str
    revision: int
    retired: bool
    document: Mapping[str, Any]
    updated: datetime

    def whole(self) -> dict[str, Any]:
        """The document with its ``revision`` and, where it is retired, ``"retired": true``."""
        mark = {"retired": True} if self.retired else {}
        return {**self.document, **mark, "revision": self.revision}


_columns = (
    EntryRow.kind,
    EntryRow.code,
    EntryRow.revision,
    EntryRow.retired,
    EntryRow.document,
    EntryRow.updated,
)


def _stored(row: Sequence[Any]) -> StoredEntry:
    kind, code, revision, retired, document, updated = row
    return StoredEntry(kind, code, revision, retired, read(document), updated)


def find(connection: Connection, kind: str, code: str) -> StoredEntry | None:
    """The entry, or None."""
    _known(kind)
    if not keepable(code):
        return None
    query = select(*_columns).where(mine(connection, EntryRow), EntryRow.kind == kind, EntryRow.code == code)
    row = connection.execute(query).one_or_none()
    return None if row is None else _stored(row)


def fetch(connection: Connection, kind: str, code: str) -> StoredEntry:
    """The entry; raises ``NotFound``."""
    entry = find(connection, kind, code)
    if entry is None:
        raise NotFound(f"There is no {code!r} among the {kind}.")
    return entry


def listed(
    connection: Connection, kind: str, limit: int, after: str | None, retired: bool | None, text: str | None
) -> list[StoredEntry]:
    """Up to ``limit`` entries of a section in the order of their codes, from behind ``after``.

    ``retired`` None: both; ``text``: a part of code or title, in either case of letters.
    """
    _known(kind)
    if not all(keepable(each) for each in (after, text) if each is not None):
        return []
    query = select(*_columns).where(mine(connection, EntryRow), EntryRow.kind == kind)
    if after is not None:
        query = query.where(EntryRow.code > after)
    if retired is not None:
        query = query.where(EntryRow.retired.is_(retired))
    if text:
        query = query.where(contains(EntryRow.folded, text))
    return [_stored(row) for row in connection.execute(query.order_by(EntryRow.code).limit(limit))]


def everything(connection: Connection) -> dict[str, list[dict[str, Any]]]:
    """The whole catalogue document: every section, entries in the order of their codes, retired ones marked."""
    document: dict[str, list[dict[str, Any]]] = {kind: [] for kind in KINDS}
    query = select(*_columns).where(mine(connection, EntryRow)).order_by(EntryRow.kind, EntryRow.code)
    for row in connection.execute(query):
        entry = _stored(row)
        document[entry.kind].append(entry.whole())
    return document


def _known(kind: str) -> None:
    if kind not in KINDS:
        raise NotFound(f"The catalogue has no section {kind!r}.")

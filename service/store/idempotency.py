"""One answer a key: a request that is sent again gets the answer that the first one got."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, delete, select, update
from sqlalchemy.dialects import postgresql, sqlite

from service.store.errors import Busy
from service.store.tables import IdempotencyRow
from service.store.teams import mine
from service.store.text import keepable


@dataclass(frozen=True, slots=True)
class IdempotencyKey:
    """The key of a request, a hash of its body, and the answer that is about to be given to it.

    ``body`` None: the answer can be made again from the stored plan.
    """

    key: str
    request_hash: str
    status: int
    created: datetime
    expires: datetime
    body: bytes | None = None


@dataclass(frozen=True, slots=True)
class StoredAnswer:
    """The answer given under a key. Another ``request_hash`` than the caller's: the key was used for another body."""

    request_hash: str
    status: int
    plan_id: str | None
    body: bytes | None
    created: datetime
    expires: datetime


_table = IdempotencyRow.__table__
_names = tuple(StoredAnswer.__dataclass_fields__)
_select = select(*(_table.c[name] for name in _names))


def _taking(insert: Any) -> Any:
    """Insert the key, over one that has expired but not over one that holds; a row comes back where it was taken."""
    row = insert(IdempotencyRow)
    names = [column.name for column in _table.columns if column.name not in ("team", "key")]
    columns = {name: row.excluded[name] for name in names}
    return row.on_conflict_do_update(
        index_elements=[_table.c.team, _table.c.key], set_=columns, where=_table.c.expires <= row.excluded.created
    ).returning(_table.c.key)


_take_on = {"sqlite": _taking(sqlite.insert), "postgresql": _taking(postgresql.insert)}


def find(connection: Connection, key: str, now: datetime) -> StoredAnswer | None:
    """The answer under a key that has not expired, or None."""
    if not keepable(key):
        return None
    query = _select.where(mine(connection, _table), _table.c.key == key, _table.c.expires > now)
    row = connection.execute(query).one_or_none()
    return None if row is None else _answer(row)


def claim(connection: Connection, key: IdempotencyKey, plan_id: str) -> StoredAnswer | None:
    """Take the key for this answer: None, or the answer of another request that has it.

    Of several requests with one key, one gets it; the others wait here until that one has committed.
    """
    values = {
        "key": key.key,
        "request_hash": key.request_hash,
        "status": key.status,
        "plan_id": plan_id,
        "body": None if key.body is None else key.body.decode(),
        "created": key.created,
        "expires": key.expires,
    }
    if connection.execute(_take_on[connection.dialect.name], values).one_or_none() is not None:
        return None
    row = connection.execute(_select.where(mine(connection, _table), _table.c.key == key.key)).one_or_none()
    if row is None:
        raise Busy("The key was being given up in this moment; send the request again.")
    return _answer(row)


def _answer(row: Sequence[Any]) -> StoredAnswer:
    request_hash, status, plan_id, body, created, expires = row
    return StoredAnswer(request_hash, status, plan_id, None if body is None else body.encode(), created, expires)


def forget_answers(connection: Connection, stored_id: str) -> None:
    """Forget the answers that are kept about what is removed; its keys stay taken until they expire."""
    its = mine(connection, _table), _table.c.plan_id == stored_id
    connection.execute(update(IdempotencyRow).where(*its).values(body=None))


def forget(connection: Connection, now: datetime) -> int:
    """Delete the keys that have expired; returns how many."""
    expired = delete(IdempotencyRow).where(mine(connection, _table), _table.c.expires <= now)
    return connection.execute(expired).rowcount

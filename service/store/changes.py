"""Writing one catalogue revision: the rows of entries that are put, retired or removed together.

Revisions of a code go on counting after it was removed, so that one never stands for two contents.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal, cast

from sqlalchemy import Connection, bindparam, delete, func, insert, select, update

from service.domain.audit import AuditedKind
from service.domain.catalogue import CURRENCY
from service.store.audit.noting import Noted, note_all
from service.store.tables import CatalogueState, EntryRevision, EntryRow
from service.store.teams import mine
from service.store.text import folded, written


@dataclass(frozen=True, slots=True)
class Change:
    """What is to be done with one entry. ``document`` is its content; ``is_new``: there is no row of it now."""

    kind: str
    code: str
    document: Mapping[str, Any]
    what: Literal["put", "remove"] = "put"
    retired: bool = False
    is_new: bool = False


def content(document: Mapping[str, Any]) -> dict[str, Any]:
    """A document without the members that say where it stands, with the currency written beside a price."""
    kept = {name: value for name, value in document.items() if name not in ("revision", "retired")}
    if kept.get("price") is not None:
        kept.setdefault("currency", CURRENCY)
    return kept


def write(connection: Connection, changes: list[Change], catalogue_revision: int, now: datetime) -> dict[str, int]:
    """Carry out the changes (at least one) as one catalogue revision; returns the new revision by "kind/code".

    The caller holds the catalogue's lock and has read that it stands at ``catalogue_revision - 1``.
    """
    numbers = _next_revisions(connection, changes)
    put: list[dict[str, Any]] = []
    added: list[dict[str, Any]] = []
    removed: list[dict[str, Any]] = []
    history: list[dict[str, Any]] = []
    for change in changes:
        number = numbers[f"{change.kind}/{change.code}"]
        is_removed = change.what == "remove"
        text = written(change.document)
        history.append(
            {
                "kind": change.kind,
                "code": change.code,
                "revision": number,
                "catalogue_revision": catalogue_revision,
                "retired": change.retired,
                "removed": is_removed,
                "document": text,
                "created": now,
            }
        )
        if is_removed:
            removed.append({"the_kind": change.kind, "the_code": change.code})
            continue
        columns = {
            "revision": number,
            "retired": change.retired,
            "folded": folded(f"{change.code}\n{change.document.get('title', '')}"),
            "document": text,
            "updated": now,
        }
        if change.is_new:
            added.append({"kind": change.kind, "code": change.code, "used_by_plan": False, **columns})
        else:
            put.append({"the_kind": change.kind, "the_code": change.code, **columns})
    table = EntryRow.__table__
    this = mine(connection, table), table.c.kind == bindparam("the_kind"), table.c.code == bindparam("the_code")
    if removed:
        connection.execute(delete(EntryRow).where(*this), removed)
    if added:
        connection.execute(insert(EntryRow), added)
    if put:
        connection.execute(update(EntryRow).where(*this), put)
    connection.execute(insert(EntryRevision), history)
    note_all(connection, (_noted(change, numbers[f"{change.kind}/{change.code}"]) for change in changes))
    state = update(CatalogueState).where(mine(connection, CatalogueState))
    connection.execute(state.values(revision=catalogue_revision))
    return numbers


def _noted(change: Change, number: int) -> Noted:
    operation = "remove" if change.what == "remove" else "retire" if change.retired else "put"
    after = None if change.what == "remove" else number
    return Noted(operation, cast(AuditedKind, change.kind), change.code, None if change.is_new else number - 1, after)


def _next_revisions(connection: Connection, changes: list[Change]) -> dict[str, int]:
    query = select(EntryRevision.kind, EntryRevision.code, func.max(EntryRevision.revision))
    query = query.where(mine(connection, EntryRevision)).group_by(EntryRevision.kind, EntryRevision.code)
    if len(changes) == 1:
        query = query.where(EntryRevision.kind == changes[0].kind, EntryRevision.code == changes[0].code)
    last = {f"{kind}/{code}": number for kind, code, number in connection.execute(query)}
    keys = (f"{change.kind}/{change.code}" for change in changes)
    return {key: last.get(key, 0) + 1 for key in keys}

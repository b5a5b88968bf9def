"""Who uses a catalogue entry: other entries that name it, and stored plans."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Any

from sqlalchemy import Connection, select, tuple_, update

from service.documents.catalogue import entry_from
from service.domain.references import references
from service.store.changes import Change, write
from service.store.moments import utc_now
from service.store.snapshots import current_revision
from service.store.tables import EntryRevision, EntryRow
from service.store.teams import mine
from service.store.text import read

_naming = ("closures", "cables")
"""The sections whose entries name others."""


def named_by_others(connection: Connection, kind: str, code: str) -> bool:
    """Whether any entry, a retired one included, names this one."""
    query = select(EntryRow.kind, EntryRow.document).where(mine(connection, EntryRow), EntryRow.kind.in_(_naming))
    rows = connection.execute(query)
    return any(f"{kind}/{code}" in references(other, entry_from(other, read(text))) for other, text in rows)


def named_by(documents: Mapping[str, Mapping[str, Any]]) -> set[str]:
    """All entries that these documents (by "kind/code") may mean. What is named names nothing further itself."""
    kinds = ((key.partition("/")[0], document) for key, document in documents.items())
    entries = ((kind, entry_from(kind, document)) for kind, document in kinds if kind in _naming)
    return {named for kind, entry in entries for named in references(kind, entry)}


def mark_used(connection: Connection, keys: Collection[str]) -> None:
    """Note that a plan was made from these entries ("kind/code"): they can be retired but no longer removed.

    One that was removed while the plan was being made comes back, retired: without it the plan could not be ordered.
    """
    pairs = [tuple(key.split("/", 1)) for key in sorted(keys)]
    if not pairs:
        return
    # Behind the catalogue's lock: two plans marking in another order, or one and a change, would wait for each other.
    revision = current_revision(connection, lock=True)
    _bring_back(connection, keys, revision)
    connection.execute(
        update(EntryRow)
        .where(mine(connection, EntryRow), tuple_(EntryRow.kind, EntryRow.code).in_(pairs))
        .where(EntryRow.used_by_plan.is_(False))
        .values(used_by_plan=True)
    )


def _bring_back(connection: Connection, keys: Iterable[str], catalogue_revision: int) -> None:
    """Those of the entries that are there no more, retired, with what they name: one catalogue revision, or none."""
    gone = _last_documents(connection, _absent(connection, keys))
    if gone:
        gone |= _last_documents(connection, _absent(connection, named_by(gone)))
        changes = [
            Change(kind, code, document, retired=True, is_new=True)
            for (kind, _, code), document in ((key.partition("/"), document) for key, document in gone.items())
        ]
        write(connection, changes, catalogue_revision + 1, utc_now())


def _absent(connection: Connection, keys: Iterable[str]) -> list[str]:
    wanted = sorted(keys)
    pairs = [tuple(key.split("/", 1)) for key in wanted]
    there = connection.execute(
        select(EntryRow.kind, EntryRow.code).where(
            mine(connection, EntryRow), tuple_(EntryRow.kind, EntryRow.code).in_(pairs)
        )
    )
    found = {f"{kind}/{code}" for kind, code in there}
    return [key for key in wanted if key not in found]


def _last_documents(connection: Connection, keys: Iterable[str]) -> dict[str, Mapping[str, Any]]:
    """What entries were when they were removed, by "kind/code"."""
    documents: dict[str, Mapping[str, Any]] = {}
    for key in keys:
        kind, code = key.split("/", 1)
        its = select(EntryRevision.document).where(mine(connection, EntryRevision))
        its = its.where(EntryRevision.kind == kind, EntryRevision.code == code)
        text = connection.scalars(its.order_by(EntryRevision.revision.desc()).limit(1)).one_or_none()
        if text is not None:
            documents[key] = read(text)
    return documents

"""Who uses a catalogue entry: other entries that name it, and stored plans."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import Connection, select, tuple_, update

from service.documents.catalogue import entry_from
from service.domain.references import references
from service.store.snapshots import current_revision
from service.store.tables import EntryRow
from service.store.text import read

_naming = ("closures", "cables")
"""The sections whose entries name others."""


def named_by_others(connection: Connection, kind: str, code: str) -> bool:
    """Whether any entry, a retired one included, names this one."""
    rows = connection.execute(select(EntryRow.kind, EntryRow.document).where(EntryRow.kind.in_(_naming)))
    return any(f"{kind}/{code}" in references(other, entry_from(other, read(text))) for other, text in rows)


def named_by(documents: Mapping[str, Mapping[str, Any]]) -> set[str]:
    """All entries that these documents (by "kind/code") may mean. What is named names nothing further itself."""
    kinds = ((key.partition("/")[0], document) for key, document in documents.items())
    entries = ((kind, entry_from(kind, document)) for kind, document in kinds if kind in _naming)
    return {named for kind, entry in entries for named in references(kind, entry)}


def mark_used(connection: Connection, keys: Iterable[str]) -> None:
    """Note that a plan was made from these entries ("kind/code"): they can be retired but no longer removed."""
    pairs = [tuple(key.split("/", 1)) for key in sorted(keys)]
    if not pairs:
        return
    # Behind the catalogue's lock: two plans marking in another order, or one and a change, would wait for each other.
    current_revision(connection, lock=True)
    connection.execute(
        update(EntryRow)
        .where(tuple_(EntryRow.kind, EntryRow.code).in_(pairs), EntryRow.used_by_plan.is_(False))
        .values(used_by_plan=True)
    )

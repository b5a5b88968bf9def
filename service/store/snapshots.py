"""The catalogue as one immutable object, now or as it was at an earlier catalogue revision.

A snapshot is brought up to date from the history: only entries that have changed since are read again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, and_, func, select

from service.documents.catalogue import entry_from
from service.domain.catalogue import KINDS, Catalogue
from service.store.errors import NotFound
from service.store.tables import CatalogueState, EntryRevision
from service.store.teams import mine
from service.store.text import read


@dataclass(frozen=True, slots=True)
class Snapshot(Catalogue):
    """A catalogue that says at which catalogue revision it was read.

    ``retired_entries`` are those that are retired, by "kind/code": not to be planned with, but they may hang somewhere.
    """

    catalogue_revision: int = 0
    retired_entries: Mapping[str, Any] = field(default_factory=dict)


def current_revision(connection: Connection, lock: bool = False) -> int:
    """The catalogue's revision. ``lock``: no one else changes the catalogue before this transaction ends."""
    state = select(CatalogueState.revision).where(mine(connection, CatalogueState))
    return connection.scalars(state.with_for_update() if lock else state).one()


def advanced(connection: Connection, snapshot: Snapshot, revision: int) -> Snapshot:
    """The snapshot brought from its catalogue revision up to ``revision``, itself where there is no difference."""
    if revision == snapshot.catalogue_revision:
        return snapshot
    if revision < snapshot.catalogue_revision:
        snapshot = Snapshot()
    return _with_rows(snapshot, _changes(connection, snapshot.catalogue_revision, revision), revision)


def as_of(connection: Connection, revision: int) -> Snapshot:
    """The catalogue as it was at ``revision``; raises ``NotFound`` where it has not got there yet."""
    if not 0 <= revision <= current_revision(connection):
        raise NotFound(f"The catalogue has no revision {revision}.")
    return advanced(connection, Snapshot(), revision)


def _changes(connection: Connection, after: int, until: int) -> Iterable[Sequence[Any]]:
    history = EntryRevision
    last = (
        select(history.kind, history.code, func.max(history.revision).label("revision"))
        .where(mine(connection, history), history.catalogue_revision > after, history.catalogue_revision <= until)
        .group_by(history.kind, history.code)
        .subquery()
    )
    return connection.execute(
        select(history.kind, history.code, history.revision, history.retired, history.removed, history.document).join(
            last,
            and_(
                history.kind == last.c.kind,
                history.code == last.c.code,
                history.revision == last.c.revision,
            ),
        ).where(mine(connection, history))
    )


def _with_rows(snapshot: Snapshot, rows: Iterable[Sequence[Any]], revision: int) -> Snapshot:
    sections: dict[str, dict[str, Any]] = {kind: dict(getattr(snapshot, kind)) for kind in KINDS}
    revisions = dict(snapshot.revisions)
    retired = dict(snapshot.retired_entries)
    for kind, code, number, is_retired, is_removed, document in rows:
        key = f"{kind}/{code}"
        sections[kind].pop(code, None)
        retired.pop(key, None)
        revisions.pop(key, None)
        if is_removed:
            continue
        revisions[key] = number
        entry = entry_from(kind, read(document))
        if is_retired:
            retired[key] = entry
        else:
            sections[kind][code] = entry
    # One order whatever the history, so that two ways to the same catalogue plan alike.
    ordered = {kind: dict(sorted(entries.items())) for kind, entries in sections.items()}
    return Snapshot(
        **ordered,
        revisions=dict(sorted(revisions.items())),
        retired=frozenset(retired),
        catalogue_revision=revision,
        retired_entries=dict(sorted(retired.items())),
    )

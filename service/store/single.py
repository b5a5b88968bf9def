"""Changing one catalogue entry."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from sqlalchemy import Connection, select

from service.documents.catalogue import entry_from
from service.domain.catalogue import Cable, Catalogue, Closure, Method
from service.domain.faults import Fault, Refused
from service.domain.references import Examined, reference_faults, unsuited_cables
from service.store.changes import Change, content, write
from service.store.entries import StoredEntry, fetch, find
from service.store.preconditions import Absent, AnyRevision, Expectation, hold
from service.store.snapshots import current_revision
from service.store.tables import EntryRow
from service.store.teams import mine
from service.store.text import keepable
from service.store.usage import named_by_others


@dataclass(frozen=True, slots=True)
class PutResult:
    """The entry as it stands after a PUT; ``created``: it was not there before."""

    entry: StoredEntry
    created: bool


def put(
    connection: Connection,
    catalogue_at: Callable[[Connection, int], Catalogue],
    kind: str,
    code: str,
    document: Mapping[str, Any],
    expect: Expectation,
    now: datetime,
) -> PutResult:
    """Create or replace an entry. The same content again makes no new revision.

    Raises ``Exists``, ``NotFound`` or ``Stale`` by ``expect``, and ``Refused`` for what is wrong with its references.
    ``catalogue_at`` gives the catalogue at its present revision, for the entries that others are held against.
    """
    if not keepable(code) or document.get("code", code) != code:
        raise Refused([Fault("/code", "mismatch", "The code in the document is not the code in the address.")])
    catalogue_revision = current_revision(connection, lock=True)
    stored = find(connection, kind, code)
    hold(expect, None if stored is None else stored.revision, f"{kind}/{code}")
    new, retired = {"code": code, **content(document)}, bool(document.get("retired"))
    if stored is not None and (stored.document, stored.retired) == (new, retired):
        return PutResult(stored, created=False)
    entry = entry_from(kind, new)
    alone = not isinstance(entry, Closure | Cable | Method)
    catalogue = Catalogue() if alone else catalogue_at(connection, catalogue_revision)
    faults = reference_faults(catalogue, [Examined(kind, entry, retired=retired)])
    if isinstance(entry, Method) and not retired:
        faults += unsuited_cables(catalogue.cables.values(), entry)
    if faults:
        raise Refused(faults)
    change = Change(kind, code, new, retired=retired, is_new=stored is None)
    number = write(connection, [change], catalogue_revision + 1, now)[f"{kind}/{code}"]
    return PutResult(StoredEntry(kind, code, number, retired, new, now), created=stored is None)


def remove(
    connection: Connection, kind: str, code: str, expect: Expectation, now: datetime
) -> Literal["removed", "retired"]:
    """Remove an entry, or retire it where another entry names it or a plan was made from it.

    An entry that is retired already stays so. Raises ``NotFound`` or ``Stale``.
    """
    if isinstance(expect, Absent):
        expect = AnyRevision()
    catalogue_revision = current_revision(connection, lock=True)
    stored = fetch(connection, kind, code)
    hold(expect, stored.revision, f"{kind}/{code}")
    if stored.retired:
        return "retired"
    this = mine(connection, EntryRow), EntryRow.kind == kind, EntryRow.code == code
    used = connection.scalars(select(EntryRow.used_by_plan).where(*this)).one()
    if used or named_by_others(connection, kind, code):
        write(connection, [Change(kind, code, stored.document, retired=True)], catalogue_revision + 1, now)
        return "retired"
    write(connection, [Change(kind, code, stored.document, "remove")], catalogue_revision + 1, now)
    return "removed"

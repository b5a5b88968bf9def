"""Replacing the whole catalogue by a document: all of it takes effect, or none."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, select

from service.documents.catalogue import catalogue_from, entry_from
from service.domain.catalogue import KINDS
from service.domain.faults import Refused
from service.domain.references import Examined, duplicate_codes, reference_faults
from service.store.changes import Change, content, write
from service.store.errors import Exists
from service.store.preconditions import Absent, Expectation, hold
from service.store.snapshots import current_revision
from service.store.tables import EntryRow
from service.store.teams import mine
from service.store.text import read
from service.store.usage import named_by


@dataclass(frozen=True, slots=True)
class CatalogueChange:
    """What a whole document changed, as ``"kind/code"`` in order, and the catalogue's revision after it.

    ``retired`` are entries that were in use by the catalogue and are so no longer, but not lost: the document says
    so, or leaves them out while a plan or another entry needs them.
    """

    revision: int
    added: tuple[str, ...] = ()
    changed: tuple[str, ...] = ()
    unchanged: tuple[str, ...] = ()
    retired: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Standing:
    document: Mapping[str, Any]
    retired: bool
    used: bool


def replace(
    connection: Connection, document: Mapping[str, Any], expect: Expectation, now: datetime, keep: bool = True
) -> CatalogueChange:
    """Let the catalogue be what the document says; a section that is absent is empty.

    ``keep`` False: nothing is changed, what would be is told.

    ``expect`` is of the catalogue's revision; ``Absent`` holds while nothing has ever been written. Raises
    ``Exists`` or ``Stale``, and ``Refused`` with pointers into the document.
    """
    revision = current_revision(connection, lock=keep)
    if isinstance(expect, Absent):
        if revision:
            raise Exists(f"The catalogue exists already, at revision {revision}.", revision)
    else:
        hold(expect, revision, "The catalogue")
    standing = _standing(connection)
    faults = duplicate_codes(document)
    if faults:
        raise Refused(faults)
    wanted = {f"{kind}/{each['code']}": each for kind in KINDS for each in document.get(kind) or ()}
    faults = reference_faults(catalogue_from(document), _examined(document, standing))
    if faults:
        raise Refused(faults)
    changes, told = _changes(standing, wanted)
    if changes and keep:
        revision += 1
        write(connection, changes, revision, now)
    return CatalogueChange(revision, **{word: tuple(sorted(keys)) for word, keys in told.items()})


def _standing(connection: Connection) -> dict[str, _Standing]:
    query = select(EntryRow.kind, EntryRow.code, EntryRow.document, EntryRow.retired, EntryRow.used_by_plan)
    rows = connection.execute(query.where(mine(connection, EntryRow)))
    return {f"{kind}/{code}": _Standing(read(text), retired, used) for kind, code, text, retired, used in rows}


def _same(standing: _Standing | None, each: Mapping[str, Any]) -> bool:
    return standing is not None and (standing.document, standing.retired) == (content(each), bool(each.get("retired")))


def _examined(document: Mapping[str, Any], standing: Mapping[str, _Standing]) -> Iterator[Examined]:
    for kind in KINDS:
        for index, each in enumerate(document.get(kind) or ()):
            changed = not _same(standing.get(f"{kind}/{each['code']}"), each)
            retired = bool(each.get("retired"))
            yield Examined(kind, entry_from(kind, each), f"/{kind}/{index}", changed, retired)


def _changes(
    standing: Mapping[str, _Standing], wanted: Mapping[str, Mapping[str, Any]]
) -> tuple[list[Change], dict[str, list[str]]]:
    changes: list[Change] = []
    told: dict[str, list[str]] = {word: [] for word in ("added", "changed", "unchanged", "retired", "removed")}
    for key, each in wanted.items():
        kind, code = key.split("/", 1)
        old, retired = standing.get(key), bool(each.get("retired"))
        if _same(old, each):
            told["unchanged"].append(key)
            continue
        changes.append(Change(kind, code, content(each), retired=retired, is_new=old is None))
        word = "added" if old is None else "retired" if retired and not old.retired else "changed"
        told[word].append(key)
    left_out = {key: old for key, old in standing.items() if key not in wanted}
    used = {key: old.document for key, old in left_out.items() if old.used}
    kept = used.keys() | named_by(used)
    for key, old in left_out.items():
        kind, code = key.split("/", 1)
        if key not in kept:
            changes.append(Change(kind, code, old.document, "remove"))
            told["removed"].append(key)
        elif old.retired:
            told["unchanged"].append(key)
        else:
            changes.append(Change(kind, code, old.document, retired=True))
            told["retired"].append(key)
    return changes, told

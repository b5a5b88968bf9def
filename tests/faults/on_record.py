"""The record of changes after a run of kills: one row for each change that was acknowledged, none for any other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from service.domain.audit import AUDITED, OTHERS, AuditEntry
from service.store import AuditFilter, Store
from tests.faults.acknowledged import Acknowledged, Thing

WHOLE = ("orders", "installations", "plans", "takeoffs")
"""Kinds of which nothing may be on record that was not acknowledged: each has its key."""


def misrecorded(store: Store, told: Iterable[Acknowledged], by: str) -> list[str]:
    """Things whose changes on record are not those acknowledged, in order, each once, by ``by``, from revision on."""
    recorded: dict[Thing, list[AuditEntry]] = defaultdict(list)
    for entry in _all(store):
        recorded[Thing(entry.kind, entry.item)].append(entry)
    found, known = [], set()
    for each in told:
        known |= set(each.history)
        for thing, operations in each.history.items():
            entries = recorded[thing]
            on_record = [entry.operation for entry in entries]
            if on_record != operations:
                found.append(f"{thing.kind} {thing.item}: on record {on_record}, acknowledged {operations}")
            found += [f"{thing.kind} {thing.item}: {fault}" for fault in _broken(entries, by)]
    found += [f"{thing.kind} {thing.item} is on record alone" for thing in set(recorded) - known if thing.kind in WHOLE]
    return found


def _broken(entries: list[AuditEntry], by: str) -> Iterator[str]:
    """Where an entry is somebody else's, or does not begin at the revision that the one before it ended at."""
    revision: int | None = None
    for entry in entries:
        if entry.by.name != by:
            yield f"entry {entry.id} is by {entry.by.name}"
        if (entry.before, entry.after) == (None, None):
            continue
        if entry.before != revision:
            yield f"entry {entry.id} begins at {entry.before}, the one before ended at {revision}"
        revision = entry.after


def _all(store: Store) -> Iterator[AuditEntry]:
    """Everything on record, the oldest first."""
    pages, after = [], None
    while page := store.audit.listed(500, after, AuditFilter((*AUDITED, *OTHERS))):
        pages += page
        after = (page[-1].created, page[-1].id)
    return reversed(pages)

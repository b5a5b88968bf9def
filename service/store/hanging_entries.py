"""Retired entries of which something hangs somewhere: planned around, and into, but not bought any more."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from service.domain.catalogue import Closure
from service.domain.installation import Contents
from service.domain.request import PlanRequest
from service.store.snapshots import Snapshot


def as_hung(snapshot: Snapshot, contents: Contents) -> Snapshot:
    """The catalogue for whoever looks into a hung closure: with the entries of what hangs there, retired or not."""
    return _restored(
        snapshot,
        (contents.closure,),
        [tray.tray for tray in contents.trays],
        (cable.cable for cable in contents.cables),
    )


def as_asked(snapshot: Snapshot, request: PlanRequest) -> Snapshot:
    """The same for a plan request into a hung closure, which says what hangs; for any other the snapshot itself."""
    if not request.existing_trays:
        return snapshot
    return _restored(
        snapshot,
        request.closures,
        [tray.tray for tray in request.existing_trays],
        (cable.cable for cable in request.cables if cable.hanging is not None),
    )


def _restored(snapshot: Snapshot, closures: Iterable[str], trays: list[str], cables: Iterable[str]) -> Snapshot:
    """The snapshot with these entries; no tray that is retired is allowed more often than it hangs."""
    wanted = {"closures": set(closures), "trays": set(trays), "cables": set(cables)}
    entries = snapshot.retired_entries
    found = {
        kind: {code: entries[key] for code in sorted(codes) if (key := f"{kind}/{code}") in entries}
        for kind, codes in wanted.items()
    }
    if not any(found.values()):
        return snapshot
    hanging = Counter(trays)
    closures_then: dict[str, Closure] = {**snapshot.closures, **found["closures"]}
    for code in wanted["closures"] & set(closures_then):
        allowances = tuple(
            replace(each, most=min(each.most, hanging[each.tray])) if each.tray in found["trays"] else each
            for each in closures_then[code].trays
        )
        closures_then[code] = replace(closures_then[code], trays=allowances)
    return replace(
        snapshot,
        closures=dict(sorted(closures_then.items())),
        trays=dict(sorted({**snapshot.trays, **found["trays"]}.items())),
        cables=dict(sorted({**snapshot.cables, **found["cables"]}.items())),
    )

"""The demo's own splice points, and making sure that its database file is the demo's to write."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import orjson

from service.cli.failures import CommandError
from service.cli.opening import opened
from service.cli.places import database_file, demo_file
from service.domain.catalogue import KINDS
from service.store import Store


def listed_points() -> list[bytes]:
    """The plan requests of the demo, one a splice point."""
    return [line for line in demo_file("splice-points.ndjson").read_bytes().splitlines() if line.strip()]


def clear_the_way(url: str, document: Mapping[str, Any], points: Sequence[bytes], fresh: bool) -> None:
    """Remove an earlier demo's file; raises ``CommandError`` where the database holds anything else.

    ``fresh``: an SQLite file is removed whatever it holds. Another kind of database is never emptied: it must be new.
    """
    path = database_file(url)
    if path is None:
        with opened(url, make=True) as store:
            if store.catalogue_revision():
                raise CommandError("the demo wants a database of its own, and this one holds a catalogue already")
        return
    if not path.exists():
        return
    if not fresh and path.stat().st_size:
        with opened(url) as store:
            _insist_on_demo(store, path, document, points)
    for name in (path, *(path.with_name(path.name + tail) for tail in ("-wal", "-shm", "-journal"))):
        name.unlink(missing_ok=True)


def _insist_on_demo(store: Store, path: Path, document: Mapping[str, Any], points: Sequence[bytes]) -> None:
    """Raise ``CommandError`` unless every catalogue code and every plan's name in the database is one of the demo's.

    Takeoffs and orders are somebody's work, also where they were made from the demo.
    """
    there, _ = store.catalogue_document()
    ours = {(kind, entry["code"]) for kind in KINDS for entry in document.get(kind, ())}
    codes = {(kind, entry["code"]) for kind in KINDS for entry in there.get(kind, ())}
    names = {orjson.loads(point).get("name", "") for point in points}
    untouched = not store.takeoffs.listed(1) and not store.orders.listed(1)
    if untouched and codes <= ours and all(store.plan(plan_id).name in names for plan_id in store.plan_ids()):
        return
    raise CommandError(f"{path} holds something other than this demo; --fresh replaces it")

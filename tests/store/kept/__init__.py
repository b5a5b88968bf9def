"""Databases as earlier versions left them, to be upgraded by tests.

``schema-0005.sqlite3.xz`` was written by the service at the last commit with that schema: the demo's catalogue, a
closure that hangs and was added to, its splice records, a finished takeoff of six points, an order that is placed, and
stock.
"""

from __future__ import annotations

import lzma
import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy import Boolean, MetaData, text

from service.store import Store, open_store
from service.store.schema import move

SCHEMA = "0005"
_KEPT = Path(__file__).parent / f"schema-{SCHEMA}.sqlite3.xz"


def unpacked(target: Path) -> Path:
    """The kept database as a file of its own."""
    target.write_bytes(lzma.decompress(_KEPT.read_bytes()))
    return target


def kept_in(url: str, folder: Path) -> Store:
    """A store on ``url`` whose database holds what the kept one holds, at its schema and not yet upgraded."""
    store = open_store(url)
    if url.startswith("sqlite"):
        unpacked(Path(url.removeprefix("sqlite:///")))
        return store
    with store._engines.migrating() as connection:
        move(connection, SCHEMA, up=True)
    _copy_rows(unpacked(folder / "kept.db"), store)
    return store


def _copy_rows(kept: Path, store: Store) -> None:
    tables = MetaData()
    with closing(sqlite3.connect(kept)) as source, store._engines.migrating() as target:
        tables.reflect(target)
        for table in tables.sorted_tables:
            names = [column.name for column in table.columns]
            flags = [isinstance(column.type, Boolean) for column in table.columns]
            found = source.execute(f"SELECT {', '.join(names)} FROM {table.name}").fetchall()
            rows = [
                {
                    name: value if not flag or value is None else bool(value)
                    for name, value, flag in zip(names, row, flags, strict=True)
                }
                for row in found
            ]
            target.execute(text(f"DELETE FROM {table.name}"))
            if rows:
                target.execute(table.insert(), rows)

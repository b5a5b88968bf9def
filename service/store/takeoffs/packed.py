"""How the parts of a takeoff are written into columns: compressed JSON, and faults."""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping

import orjson

from service.domain.faults import Fault
from service.domain.map_point import MapPoint

_QUICK = 1
"""Level 1 of zlib: a plan answer shrinks to about a quarter, and to little less at twice the cost."""


def compressed(document: bytes) -> bytes:
    """A document, smaller."""
    return zlib.compress(document, _QUICK)


def expanded(column: bytes) -> bytes:
    """The document that ``compressed`` made smaller."""
    return zlib.decompress(column)


def faults_written(faults: Iterable[Fault]) -> str | None:
    """Faults as JSON text; None where there are none."""
    rows = [(fault.pointer, fault.code, fault.detail) for fault in faults]
    return orjson.dumps(rows).decode() if rows else None


def faults_read(text: str | None) -> tuple[Fault, ...]:
    """The faults that ``faults_written`` wrote."""
    return tuple(Fault(*row) for row in orjson.loads(text)) if text else ()


def position_written(position: MapPoint | None) -> str | None:
    """A place on a map as JSON text; None where it is not told."""
    return None if position is None else orjson.dumps(list(position)).decode()


def position_read(text: str | None) -> MapPoint | None:
    """The place that ``position_written`` wrote."""
    return None if text is None else MapPoint(*orjson.loads(text))


def words_written(words: Mapping[str, str | None]) -> str:
    """A mapping of short texts as JSON text, its members in the order given."""
    return orjson.dumps(dict(words)).decode()

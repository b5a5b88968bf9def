"""What a build needs, as CSV: by item, and by splice point."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from service.sheets.csv_table import csv_parts, csv_table
from service.sheets.figures import trimmed
from service.sheets.rows import ItemRow, PointRow

ITEM_HEAD = ("kind", "item", "title", "unit", "points", "quantity", "included", "packs", "price", "currency")
POINT_HEAD = ("place", "name", "closure", "kind", "item", "quantity")


def materials_csv(items: Iterable[ItemRow]) -> bytes:
    """A line an item, in the order given."""
    return csv_table(
        ITEM_HEAD,
        (
            (
                row.kind,
                row.code,
                row.title,
                row.unit,
                row.points,
                trimmed(row.quantity),
                trimmed(row.included),
                row.packs,
                row.price,
                row.currency,
            )
            for row in items
        ),
    )


def points_csv(points: Iterable[PointRow]) -> Iterator[bytes]:
    """A line for each item of each splice point, part by part."""
    return csv_parts(POINT_HEAD, (line for point in points for line in _lines(point)))


def _lines(point: PointRow) -> Iterator[tuple[int | str, str, str | None, str, str, Decimal]]:
    for item, quantity in point.quantities.items():
        yield point.place, point.name, point.closure, item.kind, item.code, trimmed(quantity)

"""An order as a file, in the form that the file's name ends in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import orjson

from service.building.order_points import order_points
from service.cli.failures import CommandError
from service.documents.order import order_to
from service.domain.order import Order
from service.sheets.order_csv import order_csv
from service.store import Store


def _json(store: Store, order: Order) -> bytes:
    return orjson.dumps(order_to(order), option=orjson.OPT_INDENT_2)


def _csv(store: Store, order: Order) -> bytes:
    return order_csv(order)


def _xlsx(store: Store, order: Order) -> bytes:
    # Loaded when it is needed: a command that writes no such file is there sooner.
    from service.sheets.order_workbook import order_xlsx

    return order_xlsx(order, order_points(store, order))


def _pdf(store: Store, order: Order) -> bytes:
    from service.sheets.order_pdf import order_pdf

    return order_pdf(order)


Write = Callable[[Store, Order], bytes]
FORMS: Mapping[str, Write] = {".json": _json, ".csv": _csv, ".xlsx": _xlsx, ".pdf": _pdf}
"""What writes an order, by the ending of the file's name."""


def form_of(path: Path) -> Write:
    """What writes the file. Raises ``CommandError`` for an ending that says no form."""
    write = FORMS.get(path.suffix.lower())
    if write is None:
        raise CommandError(f"{path}: an order is written to a file that ends in {', '.join(FORMS)}")
    return write

"""An order for people: CSV, workbook, PDF, each at a path of its own and by Accept at the order's."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from flask import Blueprint, Response

from service.api.answers import json_answer
from service.api.preconditions import has_already, tag
from service.api.state import state
from service.building.order_points import order_points
from service.domain.order import Order
from service.sheets.order_csv import order_csv

routes = Blueprint("order_sheets", __name__)


class Form(NamedTuple):
    """A form of an order: the ending of its file's name, its media type in full, and what writes it."""

    ending: str
    content_type: str
    write: Callable[[Order], bytes]


def _xlsx(order: Order) -> bytes:
    # Loaded when it is first asked for, since a server that is never asked need not hold it.
    from service.sheets.order_workbook import order_xlsx

    return order_xlsx(order, order_points(state().store, order))


def _pdf(order: Order) -> bytes:
    from service.sheets.order_pdf import order_pdf

    return order_pdf(order)


CSV = "text/csv"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
PDF = "application/pdf"
FORMS: Mapping[str, Form] = {
    CSV: Form("csv", f"{CSV}; charset=utf-8", order_csv),
    XLSX: Form("xlsx", XLSX, _xlsx),
    PDF: Form("pdf", PDF, _pdf),
}
"""The forms by media type."""


@routes.get("/v1/orders/<id>/order.csv")
def read_csv(id: str) -> Response:
    """The lines as CSV."""
    return in_form(state().store.orders.get(id), CSV)


@routes.get("/v1/orders/<id>/order.xlsx")
def read_xlsx(id: str) -> Response:
    """The order as a workbook."""
    return in_form(state().store.orders.get(id), XLSX)


@routes.get("/v1/orders/<id>/order.pdf")
def read_pdf(id: str) -> Response:
    """The order as it goes to the supplier."""
    return in_form(state().store.orders.get(id), PDF)


def in_form(order: Order, media_type: str) -> Response:
    """The order in a form; its tag is another one than that of the JSON, which alone can be changed."""
    form = FORMS[media_type]
    current = tag(f"{order.revision}-{form.ending}")
    if has_already(current):
        return Response(status=304, headers={"ETag": current})
    name = f'attachment; filename="order-{order.id}.{form.ending}"'
    headers = {"ETag": current, "Content-Disposition": name}
    return json_answer(form.write(order), 200, headers, form.content_type)

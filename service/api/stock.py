"""The stock: what lies in the store of each item, and what of it orders hold."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from flask import Blueprint, Response, request

from service.api.answers import json_answer, read_answer, tagged
from service.api.bodies import read_body
from service.api.paging import next_link, read_cursor, scope_of, write_cursor
from service.api.preconditions import expected
from service.api.problems import Problem, bad_parameters, refused
from service.api.state import parameter, state
from service.documents.stock import level_to
from service.domain.faults import Fault
from service.domain.order import Item, ItemKind
from service.store import NotFound

routes = Blueprint("stock", __name__)


@routes.get("/v1/stock")
def read_list() -> Response:
    """A page of the stock, by code."""
    store, limit, cursor = state().store, parameter("limit"), parameter("cursor")
    filters = {"kind": parameter("kind")}
    scope = scope_of(request.path, filters)
    after = _place(read_cursor(store.cursor_key(), scope, cursor)) if cursor else None
    found = store.stock.listed(limit + 1, after, filters["kind"])
    items = [level_to(level) for level in found[:limit]]
    if len(found) <= limit:
        return json_answer({"items": items, "next": None})
    last = found[limit - 1].item
    following = write_cursor(store.cursor_key(), scope, [last.code, last.kind])
    link = next_link(request.path, filters, limit, following)
    return json_answer({"items": items, "next": following}, headers={"Link": link})


@routes.get("/v1/stock/<code>")
def read_level(code: str) -> Response:
    """What there is of one item."""
    level = state().store.stock.get(_item(code, parameter("kind")))
    return read_answer(level_to(level), level.revision)


@routes.put("/v1/stock/<code>")
def put_level(code: str) -> Response:
    """Say how much there is of one item."""
    expect = expected(creating=True)
    document = read_body("StockLevel")
    item = _item(code, parameter("kind") or document.get("kind"))
    _check_names(document, item)
    on_hand = round(Decimal(repr(document["on_hand"])), 6)
    try:
        result = state().store.stock.put(item, on_hand, expect)
    except NotFound:
        raise Problem("stale", "There is no stock of it yet; to begin, send If-None-Match: *.") from None
    level = result.level
    if not result.created:
        return tagged(level_to(level), level.revision)
    return tagged(level_to(level), level.revision, 201, {"Location": f"/v1/stock/{item.code}?kind={item.kind}"})


def _item(code: str, kind: ItemKind | None) -> Item:
    """The item that a code stands for; raises 404 where there is none, 400 where there are several."""
    kinds = state().store.stock.kinds(code)
    if kind is not None:
        kinds = [each for each in kinds if each == kind]
    if len(kinds) > 1:
        detail = f"The code stands for several items: say which, {' or '.join(kinds)}."
        raise bad_parameters([("kind", "required", detail)])
    if not kinds:
        raise Problem("not-found", "Neither the catalogue nor the stock has such an item.")
    return Item(kinds[0], code)


def _check_names(document: dict[str, Any], item: Item) -> None:
    faults = [
        Fault(f"/{name}", "mismatch", f"The {name} in the body is not that of the address.")
        for name, meant in (("item", item.code), ("kind", item.kind))
        if document.get(name, meant) != meant
    ]
    if faults:
        raise refused(faults)


def _place(place: list[str]) -> tuple[str, str]:
    return place[0], place[1]

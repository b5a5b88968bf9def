"""``order``: order what stored plans and takeoffs need, and show it."""

from __future__ import annotations

import argparse
import uuid
from pathlib import Path

import orjson

from service import __version__
from service.building.order_sources import Unfinished
from service.building.ordering import Making, drafted
from service.cli.failures import CommandError
from service.cli.opening import chosen_url, opened
from service.cli.order_files import form_of
from service.documents.order import order_to
from service.domain.order import Order, OrderRequest
from service.sheets.order_text import order_text
from service.store import Ordered, Store, TakeoffFilter
from service.store.moments import utc_now

LATEST = "latest"


def run(arguments: argparse.Namespace) -> int:
    """Make the order, print it, and write it to a file where that is asked."""
    out = None if arguments.out is None else Path(arguments.out)
    # Looked at before anything is ordered: a file that cannot be written is no reason to order once more.
    write = None if out is None else form_of(out)
    with opened(chosen_url(arguments), team=arguments.team) as store:
        order = _made(store, _request(store, arguments))
        if out is not None and write is not None:
            out.write_bytes(write(store, order))
    if arguments.format == "json":
        print(orjson.dumps(order_to(order), option=orjson.OPT_INDENT_2).decode())
    else:
        print(order_text(order), end="")
    return 0


def _request(store: Store, arguments: argparse.Namespace) -> OrderRequest:
    takeoffs = [_latest(store) if id == LATEST else id for id in arguments.takeoff]
    return OrderRequest(
        plans=tuple(dict.fromkeys(arguments.plan)),
        takeoffs=tuple(dict.fromkeys(takeoffs)),
        name=arguments.name,
        confidence=arguments.confidence,
        again=arguments.again,
        strict=arguments.strict,
        supplier=arguments.supplier,
        deliver_to=arguments.deliver_to,
        reference=arguments.reference,
    )


def _latest(store: Store) -> str:
    found = store.takeoffs.listed(1, which=TakeoffFilter(state="finished"))
    if not found:
        raise CommandError("the database has no finished takeoff")
    return found[0].id


def _made(store: Store, asked: OrderRequest) -> Order:
    try:
        draft = drafted(store, asked, Making(uuid.uuid4().hex, utc_now(), __version__))
        made = store.orders.make(draft, present=True)
    except Unfinished as error:
        raise CommandError(str(error)) from error
    except Ordered as error:
        told = (f"{each.kind} {each.id} is in the order {each.order} {each.order_name}" for each in error.found)
        raise CommandError(*told, "to order it once more, say --again") from error
    assert isinstance(made, Order)
    return made

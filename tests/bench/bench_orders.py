"""How long an order of a whole build takes: ``python -m tests.bench.bench_orders [POINTS] [--alike]``.

Plans the points first, in this process, into an SQLite file of its own, no two of them alike unless ``--alike``; then
drafts and makes an order of all of them, reads it back, traces an item, and writes the workbook. The yardstick is a
plain read of the same answers from the store, expanded and parsed and nothing else.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
import uuid
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TypeVar

import orjson

from service.building.order_points import order_points
from service.building.order_tracing import Position, traced
from service.building.ordering import Making, drafted
from service.domain.order import Order, OrderRequest
from service.sheets.order_workbook import order_xlsx
from service.store import AnyRevision, Store, open_store
from tests.building.planned_takeoffs import planned
from tests.demo.files import CATALOGUE
from tests.demo.made_build import build

Result = TypeVar("Result")


def timed(what: str, work: Callable[[], Result]) -> Result:
    """Do the work and print how long it took, and the most memory that this process has had."""
    start = time.perf_counter()
    result = work()
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{what:<28}{time.perf_counter() - start:9.3f} s   {memory:6.0f} MiB at most so far")
    return result


def order(store: Store, takeoff: str) -> Order:
    """Make an order of all of it."""
    making = Making(uuid.uuid4().hex, datetime.now(UTC), "bench")
    timed("added up and drafted", lambda: drafted(store, OrderRequest(takeoffs=(takeoff,)), making))
    draft = timed("drafted, totals being kept", lambda: drafted(store, OrderRequest(takeoffs=(takeoff,)), making))
    made = timed("stored, stock held", lambda: store.orders.make(draft))
    assert isinstance(made, Order)
    return made


def main() -> None:
    """Measure."""
    points = next((int(each) for each in sys.argv[1:] if each.isdecimal()), 1000)
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(f"sqlite:///{Path(folder) / 'bench.db'}")
        store.upgrade()
        store.put_catalogue(orjson.loads(CATALOGUE), AnyRevision())
        documents = (
            {name: value for name, value in document.items() if name != "tags"}
            for document in build(points, distinct="--alike" not in sys.argv, standard=True)
        )
        takeoff = timed(f"{points} points planned", lambda: planned(store, documents))
        answers = store.takeoffs.answers(takeoff)
        timed("yardstick: answers read", lambda: sum(orjson.loads(each.answer)["splices"] for each in answers))
        made = order(store, takeoff)
        timed("read back", lambda: store.orders.get(made.id))
        item = made.lines[-1].item
        timed("a page of 500 sources", lambda: traced(store, made, item, Position(0, points // 2), 500))
        book = timed("the workbook", lambda: order_xlsx(made, order_points(store, made)))
        print(f"{len(made.lines)} lines, {made.sources[0].points} points, a workbook of {len(book) / 2**20:.1f} MiB")
        store.close()


if __name__ == "__main__":
    main()

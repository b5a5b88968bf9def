"""Eight clients order over HTTP from one stock at once, on either database: nothing is sold twice."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

import orjson
import pytest

from service.app import create_app
from service.settings import Settings
from service.store import open_store
from tests.api.live_server import free_port, served
from tests.stores import emptied, postgres_database

CLIENTS = 8
Document = dict[str, Any]
Answer = tuple[int, Document]
FIRST = {"If-None-Match": "*"}


def send(port: int, method: str, path: str, body: Document | None = None, **headers: str) -> Answer:
    """Send a request over a connection of its own."""
    connection = HTTPConnection("127.0.0.1", port, timeout=60)
    try:
        told = {"Content-Type": "application/json", **{name.replace("_", "-"): text for name, text in headers.items()}}
        connection.request(method, path, None if body is None else orjson.dumps(body), told)
        answer = connection.getresponse()
        return answer.status, orjson.loads(answer.read() or b"{}")
    finally:
        connection.close()


def at_once(work: Callable[[int], Answer]) -> list[Answer]:
    """Let eight clients do their work, all begun together."""
    start = threading.Barrier(CLIENTS)

    def run(number: int) -> Answer:
        start.wait()
        return work(number)

    with ThreadPoolExecutor(CLIENTS) as pool:
        return list(pool.map(run, range(CLIENTS)))


@contextmanager
def served_on(url: str, catalogue: Document) -> Iterator[int]:
    """The service on a database, with the small catalogue; its port."""
    store = open_store(url)
    store.upgrade()
    settings = Settings(port=free_port(), database=url)
    with served(create_app(settings, store), settings):
        assert send(settings.port, "PUT", "/v1/catalogue", catalogue, If_None_Match="*")[0] == 200
        yield settings.port
    store.close()


@pytest.fixture(params=["sqlite", "postgresql"])
def port(request: pytest.FixtureRequest, tmp_path: Path, catalogue: Document) -> Iterator[int]:
    """The port of the service, on each database in turn."""
    if request.param == "sqlite":
        with served_on(f"sqlite:///{tmp_path / 'store.db'}", catalogue) as port:
            yield port
    else:
        with postgres_database() as url, served_on(emptied(url), catalogue) as port:
            yield port


def test_eight_clients_never_hold_more_than_there_is(port: int, handhole: Document) -> None:
    """Each orders for a plan of its own; together they hold the hundred sleeves that there are, and buy the rest."""
    assert send(port, "PUT", "/v1/stock/rs-12", {"on_hand": 100}, If_None_Match="*")[0] == 201
    plans = [send(port, "POST", "/v1/plans", handhole)[1]["id"] for _ in range(CLIENTS)]
    answers = at_once(lambda number: send(port, "POST", "/v1/orders", {"plans": [plans[number]]}))
    assert [status for status, _ in answers] == [201] * CLIENTS
    sleeves = [line for _, order in answers for line in order["lines"] if line["item"] == "rs-12"]
    assert sum(line["quantity"] for line in sleeves) > 100
    assert sum(line["from_stock"] for line in sleeves) == 100
    level = send(port, "GET", "/v1/stock/rs-12")[1]
    assert (level["on_hand"], level["held"], level["available"]) == (100, 100, 0)


def test_eight_clients_order_one_plan_once(port: int, handhole: Document) -> None:
    """One is answered 201, seven 409 with the id of that one's order; the stock is held once."""
    assert send(port, "PUT", "/v1/stock/rs-12", {"on_hand": 1000}, If_None_Match="*")[0] == 201
    plan = send(port, "POST", "/v1/plans", handhole)[1]["id"]
    answers = at_once(lambda number: send(port, "POST", "/v1/orders", {"plans": [plan]}))
    assert sorted(status for status, _ in answers) == [201] + [409] * (CLIENTS - 1)
    order = next(document for status, document in answers if status == 201)
    assert all(order["id"] in document["detail"] for status, document in answers if status == 409)
    held = sum(line["from_stock"] for line in order["lines"] if line["item"] == "rs-12")
    assert send(port, "GET", "/v1/stock/rs-12")[1]["held"] == held

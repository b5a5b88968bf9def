"""What every part of a life shares: a service on a file of its own, its crew and another team, and its model."""

from __future__ import annotations

import atexit
import shutil
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from flask import Flask
from hypothesis.stateful import Bundle, RuleBasedStateMachine

from service.app import create_app
from service.settings import Settings
from service.store import open_store
from tests.api.held_client import HeldClient
from tests.api.tokens import bearer
from tests.faults.written import catalogue


@cache
def empty() -> Path:
    """A database file with tables and nothing in them, to be copied."""
    folder = tempfile.mkdtemp()
    atexit.register(shutil.rmtree, folder)
    store = open_store(f"sqlite:///{folder}/empty.db")
    store.upgrade()
    store.close()
    return Path(folder) / "empty.db"


@dataclass
class Hung:
    """A closure as it should hang: the ribbons spliced, by number of splice; the splices with records and how good."""

    plan: str
    revision: int = 1
    visits: int = 1
    name: str = ""
    splices: dict[int, int] = field(default_factory=dict)
    given_up: bool = False
    good: dict[int, bool] = field(default_factory=dict)
    records: int = 0


class Served(RuleBasedStateMachine):
    """The service, and the model of it."""

    plan_ids, order_ids, closure_ids, takeoff_ids = (
        Bundle("plan_ids"), Bundle("order_ids"), Bundle("closure_ids"), Bundle("takeoff_ids")
    )  # fmt: skip
    addition_ids = Bundle("addition_ids")

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        shutil.copy(empty(), self.folder / "life.db")
        self.store = open_store(f"sqlite:///{self.folder / 'life.db'}")
        app = create_app(Settings(), self.store)
        app.test_client_class = HeldClient
        self.client = _as(app, "default")
        self.neighbours = _as(app, "neighbours")
        assert self.client.put("/v1/catalogue", json=catalogue(), headers={"If-None-Match": "*"}).status_code == 200
        # Codes to (title, revision), and how often each code has got a new revision.
        self.trays: dict[str, tuple[str, int]] = {}
        self.numbers: Counter[str] = Counter()
        self.retired: set[str] = set()
        # Plans to names; additions among them to the closure and its revision that they were planned for.
        self.plans: dict[str, str] = {}
        self.additions: dict[str, tuple[str, int]] = {}
        # Orders to (the plan or takeoff, the state, its sleeves of the counted kind).
        self.orders: dict[str, tuple[str, str]] = {}
        self.hung: dict[str, Hung] = {}
        self.takeoffs: dict[str, str] = {}
        self.keys: dict[str, tuple[str, str]] = {}
        self.counted = 0
        self.steps = 0

    def teardown(self) -> None:
        """Leave nothing behind."""
        self.store.close()
        shutil.rmtree(self.folder)

    def at_work(self, of: str) -> bool:
        """Whether an order that is not over was made from a plan or takeoff."""
        return any(each == of and state not in ("issued", "withdrawn") for each, state in self.orders.values())

    def listed(self, kind: str) -> list[dict[str, Any]]:
        """All of a kind, as the service lists them page by page."""
        found, address = [], f"/v1/{kind}?limit=3"
        while True:
            answer = self.client.get(address)
            found += answer.get_json()["items"]
            link = answer.headers.get("Link")
            if link is None:
                assert answer.get_json()["next"] is None
                return found
            address = link.partition("<")[2].partition(">")[0]


def _as(app: Flask, team: str) -> Any:
    client = app.test_client()
    client.environ_base["HTTP_AUTHORIZATION"] = bearer(app, "admin", team=team)["Authorization"]
    return client

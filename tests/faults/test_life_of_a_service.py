"""A service's life drawn at random over HTTP, held at every step against a model that is a few dictionaries.

``TRAYWRIGHT_FUZZ=20`` makes twenty times as many lives.
"""

from __future__ import annotations

import atexit
import os
import shutil
import tempfile
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, invariant, rule

from service.app import create_app
from service.settings import Settings
from service.store import open_store
from tests.api.held_client import HeldClient
from tests.catalogue_documents import tray
from tests.faults.written import catalogue, request

TIMES = int(os.environ.get("TRAYWRIGHT_FUZZ", "1"))
NEXT = {"draft": {"placed", "withdrawn"}, "placed": {"received", "withdrawn"}, "received": {"issued"}}
CODES = st.sampled_from(["t-1", "t-2", "t-3"])


@cache
def empty() -> Path:
    """A database file with tables and nothing in them, to be copied."""
    folder = tempfile.mkdtemp()
    atexit.register(shutil.rmtree, folder)
    store = open_store(f"sqlite:///{folder}/empty.db")
    store.upgrade()
    store.close()
    return Path(folder) / "empty.db"


class Life(RuleBasedStateMachine):
    """Catalogue, plans, orders and installations."""

    plan_ids, order_ids = Bundle("plan_ids"), Bundle("order_ids")

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        shutil.copy(empty(), self.folder / "life.db")
        self.store = open_store(f"sqlite:///{self.folder / 'life.db'}")
        app = create_app(Settings(), self.store)
        app.test_client_class = HeldClient
        self.client: Any = app.test_client()
        assert self.client.put("/v1/catalogue", json=catalogue(), headers={"If-None-Match": "*"}).status_code == 200
        self.trays: dict[str, tuple[str, int]] = {}
        self.numbers: Counter[str] = Counter()
        self.plans: dict[str, str] = {}
        self.orders: dict[str, tuple[str, str]] = {}
        self.hung: dict[str, str] = {}
        self.keys: dict[str, tuple[str, str]] = {}
        self.steps = 0

    def teardown(self) -> None:
        """Leave nothing behind."""
        self.store.close()
        shutil.rmtree(self.folder)

    @rule(code=CODES, title=st.sampled_from(["one", "two"]))
    def tray_put(self, code: str, title: str) -> None:
        """A tray is created or changed; the same again makes no new revision, and numbers are never used twice."""
        standing = self.trays.get(code)
        headers = {"If-None-Match": "*"} if standing is None else {"If-Match": f'"{standing[1]}"'}
        answer = self.client.put(f"/v1/trays/{code}", json=tray(code, title=title), headers=headers)
        assert answer.status_code == (201 if standing is None else 200), answer.data
        if standing is None or standing[0] != title:
            self.numbers[code] += 1
        self.trays[code] = (title, self.numbers[code])

    @rule(code=CODES)
    def tray_put_by_a_stale_reader(self, code: str) -> None:
        """Whoever has read another revision changes nothing."""
        if code in self.trays:
            stale = {"If-Match": f'"{self.trays[code][1] + 1}"'}
            assert self.client.put(f"/v1/trays/{code}", json=tray(code), headers=stale).status_code == 412

    @rule(code=CODES)
    def tray_removed(self, code: str) -> None:
        """What nothing uses is gone; what is not there cannot be removed."""
        answer = self.client.delete(f"/v1/trays/{code}", headers={"If-Match": "*"})
        assert answer.status_code == (204 if self.trays.pop(code, None) else 404)
        if answer.status_code == 204:
            self.numbers[code] += 1

    @rule(target=plan_ids, key=st.sampled_from("abcdef"), name=st.sampled_from(["north", "south"]))
    def planned(self, key: str, name: str) -> str:
        """A key gives one plan for one body, and no plan for another."""
        answer = self.client.post("/v1/plans", json={**request(), "name": name}, headers={"Idempotency-Key": key})
        known = self.keys.get(key)
        if known is None:
            assert answer.status_code == 201
            found: str = answer.get_json()["id"]
            assert found not in self.plans
            self.plans[found], self.keys[key] = name, (name, found)
            return found
        if known[0] != name:
            assert answer.status_code == 422
        elif known[1] in self.plans:
            assert (answer.status_code, answer.get_json()["id"]) == (201, known[1])
        else:
            assert answer.status_code == 404
        return known[1]

    @rule(plan=plan_ids)
    def plan_removed(self, plan: str) -> None:
        """Not while an order that is not over was made from it."""
        answer = self.client.delete(f"/v1/plans/{plan}", headers={"If-Match": "*"})
        if plan not in self.plans:
            assert answer.status_code == 404
        elif any(of == plan and state not in ("issued", "withdrawn") for of, state in self.orders.values()):
            assert answer.status_code == 409
        else:
            assert answer.status_code == 204
            del self.plans[plan]

    @rule(target=order_ids, plan=plan_ids)
    def ordered(self, plan: str) -> str:
        """Nothing is ordered twice, unless the order before was withdrawn or removed."""
        answer = self.client.post("/v1/orders", json={"plans": [plan]})
        before = [id for id, (of, state) in self.orders.items() if of == plan and state != "withdrawn"]
        if plan not in self.plans:
            assert answer.status_code == 422
        elif before:
            assert answer.status_code == 409
        else:
            assert answer.status_code == 201
            made: str = answer.get_json()["id"]
            self.orders[made] = (plan, "draft")
            return made
        return before[0] if before else "0" * 32

    @rule(order=order_ids, to=st.sampled_from(["on", "on", "on", "withdrawn", "placed", "issued"]))
    def order_moved(self, order: str, to: str) -> None:
        """An order goes its way and no other."""
        on = {"draft": "placed", "placed": "received", "received": "issued"}
        state = on.get(self.orders[order][1] if order in self.orders else "", "issued") if to == "on" else to
        answer = self.client.put(f"/v1/orders/{order}/state", json={"state": state}, headers={"If-Match": "*"})
        if order not in self.orders:
            assert answer.status_code == 404
            return
        plan, standing = self.orders[order]
        allowed = state == standing or state in NEXT.get(standing, set())
        assert answer.status_code == (200 if allowed else 409), (standing, state, answer.data)
        self.orders[order] = (plan, state if allowed else standing)

    @rule(order=order_ids)
    def order_removed(self, order: str) -> None:
        """A draft can be removed."""
        answer = self.client.delete(f"/v1/orders/{order}", headers={"If-Match": "*"})
        if order not in self.orders:
            assert answer.status_code == 404
        elif self.orders[order][1] == "draft":
            assert answer.status_code == 204
            del self.orders[order]
        else:
            assert answer.status_code == 409

    @rule(plan=plan_ids)
    def closure_hung(self, plan: str) -> None:
        """A plan's closure hangs once."""
        answer = self.client.post("/v1/installations", json={"plan": plan})
        if plan not in self.plans:
            assert answer.status_code == 422
        elif plan in self.hung:
            assert answer.status_code == 409
        else:
            assert answer.status_code == 201
            self.hung[plan] = answer.get_json()["id"]

    @invariant()
    def lists_say_what_the_model_says(self) -> None:
        """No more and no less is there than what the model has; looked at after every fifth step."""
        self.steps += 1
        if self.steps % 5:
            return
        listed = {each["id"]: each["name"] for each in self.client.get("/v1/plans?limit=500").get_json()["items"]}
        assert listed == self.plans
        orders = {each["id"]: each["state"] for each in self.client.get("/v1/orders?limit=500").get_json()["items"]}
        assert orders == {id: state for id, (_, state) in self.orders.items()}
        hung = {each["id"] for each in self.client.get("/v1/installations?limit=500").get_json()["items"]}
        assert hung == set(self.hung.values())
        for code, (title, revision) in self.trays.items():
            answer = self.client.get(f"/v1/trays/{code}")
            assert (answer.get_json()["title"], answer.headers["ETag"]) == (title, f'"{revision}"')
        for level in self.client.get("/v1/stock?limit=500").get_json()["items"]:
            assert level["on_hand"] >= level["held"] >= 0


TestLife = Life.TestCase
TestLife.__doc__ = """Whatever is drawn, the service says at every step what the model says."""
TestLife.settings = settings(
    max_examples=5 * TIMES,
    stateful_step_count=30,
    deadline=None,
    # Lives are long: what fails is told as it was drawn, not made smaller for minutes.
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)

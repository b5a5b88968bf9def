"""A real browser on a real server with the demo's catalogue, some plans, an order and a takeoff."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from playwright.sync_api import Browser, sync_playwright

from service.app import create_app
from service.settings import Settings
from service.store import Store, open_store
from tests.api.live_server import free_port, served
from tests.api.sent_takeoffs import lines, work

DEMO = Path(__file__).parents[2] / "demo"
RIBBONS = {"cable-1": "flat-288", "cable-2": "roll-288", "from-range-1": "1-20", "to-range-1": "1-20"}
WRONG = {"cable-2": "", "slack-2": "x", "reserve": "-4", "site-kind": "vault"}


@dataclass(frozen=True, slots=True)
class Site:
    """A server that is up: where it is, its store, a client of its API, and the addresses of its pages by name."""

    root: str
    store: Store
    api: Any
    pages: dict[str, str]

    def fit(self, **texts: str) -> str:
        """The address of a verdict on twenty ribbons, with these fields otherwise."""
        return f"{self.root}/fit?{urlencode({**RIBBONS, **{name.replace('_', '-'): t for name, t in texts.items()}})}"


@pytest.fixture(scope="package")
def chromium() -> Iterator[Browser]:
    """Chromium, without a window; tests are skipped where there is none.

    Not for the whole run: as long as it is there, so is an event loop in the way of other tests that begin one.
    """
    path = shutil.which("chromium")
    if path is None:
        pytest.skip("there is no chromium on this machine")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture(scope="package")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    """The server."""
    store = open_store(f"sqlite:///{tmp_path_factory.mktemp('browser') / 'store.db'}")
    store.upgrade()
    settings = Settings(port=free_port())
    app = create_app(settings, store)
    api = app.test_client()
    catalogue = json.loads((DEMO / "catalogue.json").read_text("utf-8"))
    assert api.put("/v1/catalogue", json=catalogue, headers={"If-None-Match": "*"}).status_code == 200
    points = [json.loads(line) for line in (DEMO / "splice-points.ndjson").read_text("utf-8").splitlines()]
    plans = [api.post("/v1/plans", json=point).get_json() for point in points]
    largest = max((plan for plan in plans if plan["fits"]), key=lambda plan: len(plan["materials"]) + plan["splices"])
    refused = next(plan for plan in plans if not plan["fits"])
    order = api.post("/v1/orders", json={"name": "Ferrow Lane", "plans": [largest["id"]]}).get_json()
    done = api.post("/v1/takeoffs", data=lines([*points, b"no json"]), content_type="application/x-ndjson").get_json()
    work(store)
    waiting = api.post("/v1/takeoffs", data=lines(points), content_type="application/x-ndjson").get_json()
    root = f"http://127.0.0.1:{settings.port}"
    pages = {
        "start": "/",
        "form": "/fit",
        "many rows": "/fit?cables=6&joints=4&more=no&express-1=on&apart-1=lease",
        "it fits": f"/fit?{urlencode(RIBBONS)}",
        "it does not fit": f"/fit?{urlencode({**RIBBONS, 'closure': 'dome-12', 'window': '3'})}",
        "not in order": f"/fit?{urlencode({**RIBBONS, **WRONG})}",
        "plans": "/plans",
        "plan": f"/plans/{largest['id']}",
        "refused plan": f"/plans/{refused['id']}",
        "catalogue": "/catalogue",
        "entries": "/catalogue/materials",
        "entry": "/catalogue/closures/dome-48",
        "takeoffs": "/takeoffs",
        "takeoff done": f"/takeoffs/{done['id']}",
        "takeoff waiting": f"/takeoffs/{waiting['id']}",
        "orders": "/orders",
        "order": f"/orders/{order['id']}",
        "stock": "/stock",
        "reference": "/docs",
        "operation": "/docs/operations/createPlan",
        "schema": "/docs/schemas/Rules",
        "example": "/docs/examples/handholePlan",
        "problems": "/docs/problems",
        "guide": "/docs/guide",
        "chapter with a table": "/docs/guide/planning-rules",
        "chapter with commands": "/docs/guide/field",
        "lost": "/nowhere",
    }
    with served(app, settings):
        yield Site(root, store, api, pages)
    store.close()

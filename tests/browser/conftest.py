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
FULL = {"cables": "2", "cable-1": "roll-288", "cable-2": "roll-288", "from-1": "D", "to-1": "E"}
FULL |= {"from-range-1": "1-24", "to-range-1": "1-24", "window": "1"}
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
    handhole = next(plan for plan in plans if plan["name"].startswith("Ferrow Lane, handhole 7"))
    hung, hub = _hung(api, handhole), _hung(api, largest)
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
        "event": "/docs/webhooks/takeoffFinished",
        "schema": "/docs/schemas/Rules",
        "example": "/docs/examples/handholePlan",
        "problems": "/docs/problems",
        "guide": "/docs/guide",
        "chapter with a table": "/docs/guide/planning-rules",
        "chapter with commands": "/docs/guide/field",
        "lost": "/nowhere",
        "largest installation": f"/installations/{hub['id']}",
        "splices of a large tray": f"/installations/{hub['id']}/remove?tray=3&all=yes",
        **_pages_of(api, hung, handhole),
    }
    with served(app, settings):
        yield Site(root, store, api, pages)
    store.close()


def _hung(api: Any, plan: dict[str, Any]) -> dict[str, Any]:
    """The closure of a plan as it hangs, with a plan into it and what was measured of a few of its splices."""
    said = {"place": "Opposite the pump house", "latitude": 53.5512, "longitude": 8.5763, "by": "Crew 3"}
    made = api.post("/v1/installations", json={"plan": plan["id"], "note": "Lid was stiff.", **said})
    assert made.status_code == 201, made.get_json()
    hung: dict[str, Any] = made.get_json()
    losses = [{"fibre": 1, "loss_db": loss, "wavelength_nm": 1550} for loss in (0.04, 0.35)]
    records = [{"splice": number, "remakes": number, "losses": [losses[number - 1]]} for number in (1, 2)]
    sent = api.post(f"/v1/installations/{hung['id']}/splice-records", json={"records": records})
    assert sent.status_code == 201, sent.get_json()
    return hung


def _pages_of(api: Any, hung: dict[str, Any], plan: dict[str, Any]) -> dict[str, str]:
    """The pages of a hung closure, by name."""
    here = f"/installations/{hung['id']}"
    added = {"cable-1": "drop-24", "from-1": "B", "from-range-1": "23", "to-range-1": "1"}
    document = {
        "cables": [{"tag": "D", "cable": "drop-24"}],
        "joints": [{"from": {"cable": "B", "ribbons": "23"}, "to": {"cable": "D", "ribbons": "1"}}],
    }
    into = api.post(f"/v1{here}/additions", json=document).get_json()
    assert into["fits"], into
    return {
        "installations": "/installations",
        "near": "/installations?near=53.55,8.57&within=5",
        "near nothing": "/installations?near=the+quay",
        "installation": here,
        "label": f"{here}/label",
        "place": f"{here}/place",
        "fit in": f"{here}/fit",
        "it fits in": f"{here}/fit?{urlencode(added)}",
        "it does not fit in": f"{here}/fit?{urlencode(FULL)}",
        "fit in, not in order": f"{here}/fit?{urlencode({**added, 'cable-1': '', 'slack-1': 'x'})}",
        "plan into it": f"/plans/{into['id']}",
        "done": f"/plans/{into['id']}/done",
        "hang": f"/plans/{plan['id']}/hang",
        "take out": f"{here}/remove",
        "take out, none such": f"{here}/remove?splices=99999",
        "taken out": f"{here}/remove?splices=1-3",
        "give up": f"{here}/give-up?{urlencode({'cable': 'B'})}",
        "measured": f"{here}/records",
        "judged": f"{here}/records?splice_db=0.2",
        "judged by nonsense": f"{here}/records?splice_db=much",
        "rates": "/records",
    }

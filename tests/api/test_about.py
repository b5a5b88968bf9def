"""The service about itself."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml

from service import __version__
from service.api import plan_making
from service.api.spec import Spec
from service.app import create_app
from service.domain.plan import Plan
from service.settings import Settings
from service.store import Store
from tests.api.held_client import HeldClient
from tests.store.takeoff_rows import result, started


def test_the_description_is_served_as_the_file_that_it_is(client: HeldClient, spec: Spec) -> None:
    """YAML byte for byte; JSON with the same meaning; each with a tag of its own."""
    served_yaml, served_json = client.get("/openapi.yaml"), client.get("/openapi.json")
    assert served_yaml.data == spec.source
    assert json.loads(served_json.data) == yaml.safe_load(spec.source)
    assert served_yaml.headers["ETag"] != served_json.headers["ETag"]


def test_the_link_set_leads_to_what_there_is(client: HeldClient) -> None:
    """Every link of the API catalogue (RFC 9727) can be followed, and HEAD has it in Link."""
    response = client.get("/.well-known/api-catalog")
    assert response.content_type.startswith("application/linkset+json")
    for href in re.findall(r'"href":"([^"]+)"', response.get_data(as_text=True)):
        assert client.get(href).status_code == 200
    assert 'rel="api-catalog"' in client.head("/.well-known/api-catalog").headers["Link"]


def test_readiness_needs_the_database_and_health_does_not(client: HeldClient) -> None:
    """A server that is up and idle is both."""
    assert client.get("/healthz").get_json() == {"status": "ok", "version": __version__}
    assert client.get("/readyz").get_json() == {"status": "ready"}


def test_an_unknown_kind_of_problem_has_no_page(client: HeldClient) -> None:
    """And nothing of the address is repeated in the answer's words."""
    response = client.get("/problems/no-such-kind")
    assert response.status_code == 404
    assert "no-such-kind" not in response.get_json()["detail"]


def test_planning_time_is_measured(filled: HeldClient, handhole: dict[str, object]) -> None:
    """The histogram counts plans and fit checks apart."""
    filled.post("/v1/plans?store=false", json=handhole)
    filled.post("/v1/fit-checks", json=handhole)
    metrics = filled.get("/metrics").get_data(as_text=True)
    assert 'traywright_plan_seconds_count{operation="createPlan"} 1.0' in metrics
    assert 'traywright_plan_seconds_count{operation="checkFit"} 1.0' in metrics


def _figures(client: HeldClient) -> dict[str, float]:
    lines = client.get("/metrics").get_data(as_text=True).splitlines()
    return {name: float(value) for name, _, value in (line.rpartition(" ") for line in lines if line[0] != "#")}


def test_the_depth_of_the_queue_is_told(client: HeldClient, store: Store) -> None:
    """Chunks that wait and that a worker has, and what came of splice points; nothing of it is kept in memory."""
    assert _figures(client)['traywright_chunks{state="waiting"}'] == 0
    started(store, 3, repeats=2)
    chunk = store.takeoffs.work.lease("worker")
    assert chunk is not None
    figures = _figures(client)
    assert figures['traywright_chunks{state="waiting"}'] + figures['traywright_chunks{state="leased"}'] >= 1
    assert figures['traywright_chunks{state="leased"}'] == 1
    assert figures['traywright_takeoff_points{result="fitting"}'] == 0
    numbers = range(chunk.first, chunk.last + 1)
    store.takeoffs.work.bring_planned(chunk, [result(number, optimal=number != chunk.first) for number in numbers])
    figures = _figures(client)
    assert figures['traywright_takeoff_points{result="fitting"}'] == 2 * len(numbers)
    assert figures['traywright_takeoff_points{result="not_proven"}'] == 2


def test_metrics_are_told_while_the_database_is_away(tmp_path: Path) -> None:
    """What was counted is still there, the database is down, and no old depth of the queue is told for new."""
    figures = _figures(create_app(Settings(database=f"sqlite:///{tmp_path}/gone.db")).test_client())
    assert figures["traywright_database_up"] == 0
    assert not [name for name in figures if name.startswith("traywright_chunks")]


def test_a_proof_that_is_missed_is_counted(filled: HeldClient, handhole: dict[str, object]) -> None:
    """A plan that is proven counts as none; one whose search ended early counts once."""
    filled.post("/v1/plans?store=false", json=handhole)
    assert 'traywright_proofs_missed_total{operation="createPlan"} 1.0' not in filled.get("/metrics").text
    plan = plan_making.plan_splice_point

    def unproven(*arguments: Any) -> Plan:
        made = plan(*arguments)
        assert made.proof is not None
        return replace(made, proof=replace(made.proof, optimal=False))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(plan_making, "plan_splice_point", unproven)
        filled.post("/v1/plans?store=false", json=handhole)
    assert 'traywright_proofs_missed_total{operation="createPlan"} 1.0' in filled.get("/metrics").text

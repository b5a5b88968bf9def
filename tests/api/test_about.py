"""The service about itself."""

from __future__ import annotations

import json
import re

import yaml

from service import __version__
from service.api.spec import Spec
from tests.api.held_client import HeldClient


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

"""The same applications as the tests of the HTTP layer, looked at as a browser does."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.api.conftest import app, catalogue, client, filled, handhole, mid_span, migrated, spec, store
from tests.api.held_client import HeldClient
from tests.api.hung import hang

__all__ = ["app", "catalogue", "client", "filled", "handhole", "mid_span", "migrated", "spec", "store"]


@pytest.fixture
def browser(app: Flask, filled: HeldClient) -> FlaskClient:
    """A client for pages, on the application with the small catalogue."""
    return FlaskClient(app, app.response_class)


@pytest.fixture
def hung(filled: HeldClient, handhole: dict[str, Any]) -> dict[str, Any]:
    """The handhole's closure as it hangs: ribbons 23 and 24 of B are parked, everything else is joined."""
    said = {"place": "opposite the pump house", "latitude": 53.5512, "longitude": 8.5763, "hung": "2026-03-09"}
    return hang(filled, handhole, **said, by="Crew 3")


@pytest.fixture
def plan(filled: HeldClient, handhole: dict[str, Any]) -> dict[str, Any]:
    """A stored plan of the handhole."""
    answer: dict[str, Any] = filled.post("/v1/plans", json=handhole).get_json()
    return answer

"""The demo's files, read and planned once a session."""

from __future__ import annotations

import json
from typing import Any

import pytest

from service.documents.catalogue import catalogue_from
from service.documents.request import request_from
from service.domain.catalogue import Catalogue
from service.domain.plan import Plan
from service.planning.plan import plan_splice_point
from tests.demo.files import CATALOGUE, POINTS


@pytest.fixture(scope="session")
def document() -> dict[str, Any]:
    """The catalogue document."""
    read: dict[str, Any] = json.loads(CATALOGUE)
    return read


@pytest.fixture(scope="session")
def catalogue(document: dict[str, Any]) -> Catalogue:
    """The catalogue."""
    return catalogue_from(document)


@pytest.fixture(scope="session")
def requests() -> list[dict[str, Any]]:
    """The plan requests in the order of the file."""
    return [json.loads(line) for line in POINTS]


@pytest.fixture(scope="session")
def plans(requests: list[dict[str, Any]], catalogue: Catalogue) -> dict[str, Plan]:
    """Every request planned, by its name."""
    return {request["name"]: plan_splice_point(request_from(request), catalogue) for request in requests}

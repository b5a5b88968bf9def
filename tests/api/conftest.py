"""Applications on fresh SQLite stores, empty or with the description's small catalogue."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from service.api.spec import Spec, load_spec
from service.app import create_app
from service.settings import Settings
from service.store import Store, open_store
from tests.api.held_client import HeldClient


@pytest.fixture(scope="session")
def spec() -> Spec:
    """The published description."""
    return load_spec()


@pytest.fixture(scope="session")
def migrated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An SQLite file with the schema and nothing in it, to be copied."""
    file = tmp_path_factory.mktemp("migrated") / "empty.db"
    store = open_store(f"sqlite:///{file}")
    store.upgrade()
    store.close()
    return file


@pytest.fixture
def store(migrated: Path, tmp_path: Path) -> Iterator[Store]:
    """A fresh, empty store."""
    copy = tmp_path / "store.db"
    shutil.copy(migrated, copy)
    opened = open_store(f"sqlite:///{copy}")
    yield opened
    opened.close()


@pytest.fixture
def app(store: Store) -> Flask:
    """An application on the store."""
    made = create_app(Settings(), store)
    made.test_client_class = HeldClient
    return made


@pytest.fixture
def client(app: Flask) -> HeldClient:
    """A client of an application with an empty catalogue."""
    return app.test_client()


@pytest.fixture
def filled(client: HeldClient, catalogue: dict[str, Any]) -> HeldClient:
    """A client of an application with the small catalogue."""
    assert client.put("/v1/catalogue", json=catalogue, headers={"If-None-Match": "*"}).status_code == 200
    return client


def _example(spec: Spec, name: str) -> dict[str, Any]:
    value: dict[str, Any] = deepcopy(spec.document["components"]["examples"][name]["value"])
    return value


@pytest.fixture
def catalogue(spec: Spec) -> dict[str, Any]:
    """The description's small catalogue."""
    return _example(spec, "smallCatalogue")


@pytest.fixture
def handhole(spec: Spec) -> dict[str, Any]:
    """The description's request of three cables in a handhole: 24 splices."""
    return _example(spec, "handholeRequest")


@pytest.fixture
def mid_span(spec: Spec) -> dict[str, Any]:
    """The description's request of two ribbons of a cable that passes through."""
    return _example(spec, "midSpanRequest")

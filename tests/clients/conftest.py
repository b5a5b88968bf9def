"""A server with workers and an empty catalogue, and the clients that are generated to drive it."""

from __future__ import annotations

import importlib
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from service.app import create_app
from service.building.demand_work import demand_work
from service.building.embedded import EmbeddedWorkers
from service.settings import Settings
from service.store import open_store
from tests.api.live_server import free_port, served

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
SPEC = ROOT / "openapi.yaml"
GENERATED = "traywright_client"


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    """Where a server listens that has an empty database, and a worker process for takeoffs."""
    url = f"sqlite:///{tmp_path / 'build.db'}"
    store = open_store(url)
    store.upgrade()
    settings = Settings(database=url, port=free_port())
    with EmbeddedWorkers(url, demand_work(), 1), served(create_app(settings, store), settings):
        yield f"http://127.0.0.1:{settings.port}"
    store.close()


@pytest.fixture(scope="session")
def generated(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """The folder of a Python client just generated; a warning of the generator fails it."""
    folder = tmp_path_factory.mktemp("python-client")
    command = [
        *(sys.executable, "-m", "openapi_python_client", "generate", "--path", str(SPEC), "--meta", "none"),
        *("--output-path", str(folder / GENERATED), "--config", str(HERE / "python_client.yml"), "--fail-on-warning"),
    ]
    # The generator tidies with ruff, which lies beside this interpreter.
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    done = subprocess.run(command, cwd=folder, env={**os.environ, "PATH": path}, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    sys.path.insert(0, str(folder))
    yield folder / GENERATED
    sys.path.remove(str(folder))


@dataclass(frozen=True, slots=True)
class Caller:
    """A generated client at a server: every operation by its name, and every schema by its own."""

    client: Any

    def __call__(self, operation: str, *places: str, **arguments: Any) -> Any:
        """The whole answer of an operation, such as ``plans.create_plan``: status, headers, content, parsed."""
        module = importlib.import_module(f"{GENERATED}.api.{operation}")
        return module.sync_detailed(*places, client=self.client, **arguments)

    def model(self, name: str, document: Any) -> Any:
        """A document as the class of a schema."""
        return getattr(importlib.import_module(f"{GENERATED}.models"), name).from_dict(document)

    def enum(self, name: str, value: str) -> Any:
        """A value as the class of a schema that has a choice of them."""
        return getattr(importlib.import_module(f"{GENERATED}.models"), name)(value)

    @property
    def types(self) -> ModuleType:
        """The client's own types, files among them."""
        return importlib.import_module(f"{GENERATED}.types")


@pytest.fixture
def call(generated: Path, address: str) -> Iterator[Caller]:
    """The Python client at the server."""
    made = importlib.import_module(f"{GENERATED}.client").Client(base_url=address, timeout=60.0)
    with made as client:
        yield Caller(client)


@contextmanager
def signed_in(address: str, token: str) -> Iterator[Caller]:
    """The Python client at a server, with a token."""
    made = importlib.import_module(f"{GENERATED}.client").AuthenticatedClient(base_url=address, token=token, timeout=60)
    with made as client:
        yield Caller(client)


def tool(name: str) -> str:
    """The path of a program that the TypeScript client needs; the test is skipped where it is not there.

    ``TRAYWRIGHT_REQUIRE_NODE`` says that it has to be.
    """
    path = shutil.which(name)
    if path is None and os.environ.get("TRAYWRIGHT_REQUIRE_NODE"):
        pytest.fail(f"TRAYWRIGHT_REQUIRE_NODE is set and there is no {name}")
    if path is None:
        pytest.skip(f"there is no {name} on this machine")
    return path

"""A disk that becomes full: said clearly, nothing half written, and all well once there is room."""

from __future__ import annotations

import http.client
import json
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from service.settings import Settings
from service.store import AnyRevision, open_store
from service.verifying import verify
from tests.faults.killable_server import KillableServer
from tests.faults.private_postgres import answers, private_postgres
from tests.faults.small_disk import Ballast, small_disk
from tests.faults.written import catalogue, request


class Writer:
    """Stores plans under keys and remembers which were acknowledged."""

    def __init__(self, port: int) -> None:
        self.ids: dict[str, str] = {}
        self.statuses: Counter[int] = Counter()
        self._port = port

    def store(self, key: str) -> tuple[int, dict[str, Any]]:
        """Send a plan under a key: (status, document)."""
        connection = http.client.HTTPConnection("127.0.0.1", self._port, timeout=60)
        headers = {"Content-Type": "application/json", "Idempotency-Key": key}
        try:
            connection.request("POST", "/v1/plans", json.dumps({**request(), "name": key}).encode(), headers)
            response = connection.getresponse()
            document = json.loads(response.read())
            assert response.status not in (503, 507) or document["type"].startswith("/problems/")
            assert response.status != 503 or response.getheader("Retry-After")
        finally:
            connection.close()
        self.statuses[response.status] += 1
        if response.status == 201:
            self.ids[key] = document["id"]
        return response.status, document

    def until_refused(self, name: str, most: int) -> int:
        """Store plans until one is refused; its status."""
        for number in range(most):
            status, _ = self.store(f"{name}-{number}")
            if status != 201:
                return status
        raise AssertionError("the disk never became full")


def begun(url: str) -> KillableServer:
    """A server on a new database with the small catalogue."""
    store = open_store(url)
    store.upgrade()
    store.put_catalogue(catalogue(), AnyRevision())
    store.close()
    server = KillableServer(Settings(database=url, takeoff_workers=0))
    server.start()
    server.awaited()
    return server


def insist_on_whole(url: str, writer: Writer) -> None:
    """What was acknowledged is there and verifies, and nothing else is."""
    store = open_store(url)
    assert sorted(store.plan_ids()) == sorted(writer.ids.values())
    assert all(not verify(json.loads(store.plan(id).answer)).breaches for id in writer.ids.values())
    store.close()


def test_a_full_disk_is_told_and_nothing_is_half_written_on_sqlite(tmp_path: Path) -> None:
    """507 as long as it is full, and reads go on; the same requests succeed when there is room."""
    with small_disk(tmp_path / "disk", 8) as disk:
        url = f"sqlite:///{disk / 'build.db'}"
        server = begun(url)
        try:
            writer, ballast = Writer(server.port), Ballast(disk)
            assert writer.store("first")[0] == 201
            ballast.take(but=150_000)
            assert writer.until_refused("filling", 2_000) == 507
            ballast.take()
            refused = [writer.store(f"refused-{number}")[0] for number in range(5)]
            assert refused == [507] * 5
            connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=30)
            connection.request("GET", f"/v1/plans/{writer.ids['first']}")
            assert connection.getresponse().status == 200
            connection.close()
            insist_on_whole(url, writer)
            ballast.give_back()
            for number in range(5):
                assert writer.store(f"refused-{number}")[0] == 201
            assert writer.store("first")[1]["id"] == writer.ids["first"]
        finally:
            server.kill()
        insist_on_whole(url, writer)


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder that PostgreSQL's own user can reach, too."""
    made = Path(tempfile.mkdtemp(prefix="traywright-disk-"))
    made.chmod(0o755)
    yield made
    made.rmdir()


def test_a_full_disk_is_told_and_nothing_is_half_written_on_postgresql(folder: Path) -> None:
    """507, or 503 where PostgreSQL itself gives up; once there is room (and it runs) the same requests succeed."""
    with small_disk(folder, 160) as disk, private_postgres(disk / "cluster") as postgres:
        server = begun(postgres.url)
        try:
            writer, ballast = Writer(server.port), Ballast(disk)
            assert writer.store("first")[0] == 201
            ballast.take(but=300_000)
            assert writer.until_refused("filling", 5_000) in (503, 507)
            ballast.take()
            for number in range(3):
                assert writer.store(f"refused-{number}")[0] in (201, 503, 507)
            ballast.give_back()
            if not answers(postgres.url):
                postgres.start()
            for number in range(3):
                assert writer.store(f"refused-{number}")[0] == 201
        finally:
            server.kill()
        insist_on_whole(postgres.url, writer)

"""Slow clients, very large bodies and many requests: the short forms (long ones: ``python -m tests.faults.long``)."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.faults.abuse import beside_slow_clients, large_bodies, memory_over, server_on_file
from tests.faults.killable_server import KillableServer


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[KillableServer]:
    """A server in a process of its own."""
    with server_on_file(tmp_path_factory.mktemp("abused")) as running:
        yield running


def test_very_large_bodies_are_refused_and_leave_no_trace(server: KillableServer) -> None:
    """100 MB in one piece or in chunks, and 10 GB packed with gzip: 413, lines too. Under 50 MB for each.

    Two million levels are 400, and a million blank lines 422, however little they pack into.
    """
    found = large_bodies(server)
    assert found["100 MB declared"][0] == found["100 MB in chunks"][0] == 413
    # Whoever goes on sending may miss the answer, since the connection is closed on it.
    assert found["100 MB sent"][0] in (0, 413)
    packed = {name: status for name, (status, _) in found.items() if "gzip" in name}
    assert packed.pop("lines, gzip of 10 GB of blank ones") == 422
    assert packed.pop("gzip of 2 MB of brackets") == found["2 MB of brackets"][0] == 400
    assert set(packed.values()) == {413}, packed
    assert all(growth < 50 for _, growth in found.values()), found


def test_slow_heads_and_bodies_hold_no_honest_client_up(server: KillableServer) -> None:
    """1,200 connections that drip, more than any fixed table of open files has: every honest request is answered."""
    alone, beside, _ = beside_slow_clients(server, 600, 600, 4.0)
    assert alone.wrong == beside.wrong == []
    assert len(beside.seconds) > len(alone.seconds) / 4


def test_memory_does_not_grow_with_requests(server: KillableServer) -> None:
    """After the first thousand of 3,000 requests, good and bad, the server grows by less than 10 MB."""
    taken = memory_over(server, 3_000, samples=3)
    assert taken[-1] - taken[0] < 10, taken

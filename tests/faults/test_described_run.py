"""Schemathesis against a server begun from the command line: requests that follow from each other, every check on.

Its phases of examples and coverage are in ``tests/contract/test_live_run.py``; the long form, with all of them on both
databases, is ``python -m tests.faults.long_fuzz``.
"""

from __future__ import annotations

from pathlib import Path

from tests.faults.described.run import described_run
from tests.faults.described.serving import standing


def test_requests_that_follow_from_each_other_come_to_nothing_that_is_not_described(tmp_path: Path) -> None:
    """What was made can be read, what was removed cannot, no other team gets it, and nobody without a token."""
    log = tmp_path / "server.log"
    with standing(f"sqlite:///{tmp_path / 'short.db'}", 1, log) as server:
        came = described_run(tmp_path, log, server, "crew", examples=30, seed=7, phases=("stateful",))
    assert not came.faults, "\n".join(came.faults)
    assert came.statuses[200] and came.statuses[201] and came.statuses[204], came.statuses
    assert came.cases >= 50, came

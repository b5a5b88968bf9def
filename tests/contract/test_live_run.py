"""Schemathesis, seeded, against the real server on SQLite: it knows nothing but the description."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from service.api.spec import load_spec
from service.app import create_app
from service.settings import Settings
from service.store import Store
from tests.api.held_client import HeldClient
from tests.api.live_server import free_port, served
from tests.api.tokens import bearer

SPEC = Path(__file__).resolve().parents[2] / "openapi.yaml"
SECONDS_MOST = 900
# That what the schema allows is accepted does not hold here: there are preconditions, cursors, and rules of the trade.
# Bad tokens in a row are answered 429, as they should be; who is not let in has tests of its own.
LEFT_OUT = "positive_data_acceptance,ignored_auth"


def test_nothing_that_the_description_allows_or_forbids_surprises_the_server(
    tmp_path: Path, store: Store, filled: HeldClient
) -> None:
    """No 500, no status, header, media type or body that is not described, no faulty data let in, at any operation."""
    settings = Settings(port=free_port())
    app = create_app(settings, store)
    # With a token, so that the door is shut, and the run sees as well that nothing is answered without one.
    credentials = bearer(app, "admin")["Authorization"]
    command = [
        *(sys.executable, "-c", "from schemathesis.cli import schemathesis; schemathesis()", "run"),
        *(str(SPEC), "--url", f"http://127.0.0.1:{settings.port}", "--seed", "7", "--max-examples", "4", "--no-shrink"),
        *("--phases", "examples,coverage,fuzzing", "--continue-on-failure", "--no-color"),
        *("--generation-database", "none", "--exclude-checks", LEFT_OUT, "--warnings", "off"),
        *("--header", f"Authorization: {credentials}"),
    ]
    with served(app, settings):
        hooks = {"SCHEMATHESIS_HOOKS": "tests.contract.live_hooks", "PYTHONPATH": str(SPEC.parent)}
        environment = {**os.environ, **hooks, "PYTHONWARNINGS": "ignore"}
        run = subprocess.run(
            command, cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=SECONDS_MOST
        )
    assert run.returncode == 0, run.stdout[-6000:] + run.stderr[-2000:]
    assert f"Tested: {len(load_spec().operations)}" in run.stdout

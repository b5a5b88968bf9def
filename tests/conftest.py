"""What the whole run needs: repeatable examples, and PostgreSQL before the first test where it is required."""

from __future__ import annotations

import os

import psycopg
import pytest
from hypothesis import settings

from tests.stores import POSTGRES

# The same examples in every run, so that red is red for whoever looks; TRAYWRIGHT_SEARCH=1 looks for new ones.
settings.register_profile("repeatable", derandomize=True, database=None)
settings.load_profile("default" if os.environ.get("TRAYWRIGHT_SEARCH") else "repeatable")


def pytest_sessionstart(session: pytest.Session) -> None:
    """Refuse to start where ``TRAYWRIGHT_REQUIRE_POSTGRES`` is set and no server answers: its tests would skip."""
    if not os.environ.get("TRAYWRIGHT_REQUIRE_POSTGRES") or hasattr(session.config, "workerinput"):
        return
    try:
        psycopg.connect(POSTGRES, connect_timeout=5).close()
    except psycopg.Error as error:
        pytest.exit(f"TRAYWRIGHT_REQUIRE_POSTGRES is set and no server answers ({type(error).__name__})", returncode=3)

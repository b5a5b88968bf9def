"""What the whole run needs: where PostgreSQL is required, it is there before the first test."""

from __future__ import annotations

import os

import psycopg
import pytest

from tests.stores import POSTGRES


def pytest_sessionstart(session: pytest.Session) -> None:
    """Refuse to start where ``TRAYWRIGHT_REQUIRE_POSTGRES`` is set and no server answers: its tests would skip."""
    if not os.environ.get("TRAYWRIGHT_REQUIRE_POSTGRES") or hasattr(session.config, "workerinput"):
        return
    try:
        psycopg.connect(POSTGRES, connect_timeout=5).close()
    except psycopg.Error as error:
        pytest.exit(f"TRAYWRIGHT_REQUIRE_POSTGRES is set and no server answers ({type(error).__name__})", returncode=3)

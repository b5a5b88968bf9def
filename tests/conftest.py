"""What the whole run needs: repeatable examples, and PostgreSQL and Chromium before the first test where required."""

from __future__ import annotations

import os
import shutil

import psycopg
import pytest
from hypothesis import settings

from tests.stores import POSTGRES
from tests.watched_statements import watch

# The same examples in every run, so that red is red for whoever looks, and none red for being slow on a busy machine;
# TRAYWRIGHT_SEARCH=1 looks for new ones.
settings.register_profile("repeatable", derandomize=True, database=None, deadline=None)
settings.load_profile("default" if os.environ.get("TRAYWRIGHT_SEARCH") else "repeatable")


watch()


def pytest_sessionstart(session: pytest.Session) -> None:
    """Refuse to start where tests would be skipped that are required: those of PostgreSQL, those in a browser.

    ``TRAYWRIGHT_REQUIRE_POSTGRES`` and ``TRAYWRIGHT_REQUIRE_CHROMIUM`` say that they are.
    """
    if hasattr(session.config, "workerinput"):
        return
    if os.environ.get("TRAYWRIGHT_REQUIRE_CHROMIUM") and shutil.which("chromium") is None:
        pytest.exit("TRAYWRIGHT_REQUIRE_CHROMIUM is set and there is no chromium", returncode=3)
    if not os.environ.get("TRAYWRIGHT_REQUIRE_POSTGRES"):
        return
    try:
        psycopg.connect(POSTGRES, connect_timeout=5).close()
    except psycopg.Error as error:
        pytest.exit(f"TRAYWRIGHT_REQUIRE_POSTGRES is set and no server answers ({type(error).__name__})", returncode=3)

"""The Redis server of the tests: where it is, and what becomes of tests that need one where there is none."""

from __future__ import annotations

import os

import pytest
import redis

REDIS = os.environ.get("TRAYWRIGHT_TEST_REDIS", "redis://127.0.0.1:6379/0")


def redis_or_skip() -> redis.Redis:
    """A client of the server; without one the test is skipped, and fails where ``TRAYWRIGHT_REQUIRE_REDIS`` is set."""
    server = redis.Redis.from_url(REDIS, socket_connect_timeout=2)
    try:
        server.ping()
    except redis.RedisError as error:
        why = f"no Redis at TRAYWRIGHT_TEST_REDIS ({type(error).__name__})"
        if os.environ.get("TRAYWRIGHT_REQUIRE_REDIS"):
            pytest.fail(f"TRAYWRIGHT_REQUIRE_REDIS is set and there is {why}")
        pytest.skip(why)
    return server

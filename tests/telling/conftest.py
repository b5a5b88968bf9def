"""The store's own fixtures: ``store`` is upgraded and empty, on each database in turn."""

from __future__ import annotations

from tests.store.conftest import postgres_url, store, url

__all__ = ["postgres_url", "store", "url"]

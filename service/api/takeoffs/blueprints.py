"""The routes of takeoffs, put together."""

from __future__ import annotations

from service.api.takeoffs import results, routes, sums

TAKEOFFS = (routes, results, sums)
"""The modules that have ``routes``."""

"""The routes of webhooks, put together."""

from __future__ import annotations

from service.api.webhooks import deliveries, making, routes

WEBHOOKS = (making, routes, deliveries)
"""The modules that have ``routes``."""

"""The routes of installations, put together."""

from __future__ import annotations

from service.api.installations import additions, changes, hanging, routes

INSTALLATIONS = (hanging, routes, changes, additions)
"""The modules that have ``routes``."""

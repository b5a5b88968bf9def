"""The routes of installations, put together."""

from __future__ import annotations

from service.api.installations import additions, carrying_out, changes, hanging, recording, routes

INSTALLATIONS = (hanging, routes, changes, additions, carrying_out, recording)
"""The modules that have ``routes``."""

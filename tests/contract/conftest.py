"""The same applications and examples as the tests of the HTTP layer."""

from tests.api.conftest import app, catalogue, client, filled, handhole, mid_span, migrated, spec, store

__all__ = ["app", "catalogue", "client", "filled", "handhole", "mid_span", "migrated", "spec", "store"]

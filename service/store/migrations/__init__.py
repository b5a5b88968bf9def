"""Alembic migrations of the store, run from ``service.store.schema``."""

"""Run by Alembic for every command; the connection comes with the configuration (``schema.configuration``)."""

from __future__ import annotations

from alembic import context

from service.store.tables import Tables

connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=Tables.metadata,
    render_as_batch=connection.dialect.name == "sqlite",
    transactional_ddl=True,
)
context.run_migrations()

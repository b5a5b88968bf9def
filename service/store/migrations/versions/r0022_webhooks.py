"""Webhooks, the events that they are told of, and the deliveries."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from service.store.moments import Moment

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None

_Counted = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "webhooks",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("team", sa.Integer, nullable=False),
        sa.Column("created", Moment, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("url", sa.Text, nullable=False),
        sa.Column("events", sa.Text, nullable=False),
        sa.Column("description", sa.Text, nullable=False),
        sa.Column("full_share", sa.Double, nullable=False),
        sa.Column("active", sa.Boolean, nullable=False),
        sa.Column("off_because", sa.String(16), nullable=True),
        sa.Column("off_since", Moment, nullable=True),
        sa.Column("failing_since", Moment, nullable=True),
        sa.Column("tried", Moment, nullable=True),
        sa.Column("secret", sa.Text, nullable=False),
        sa.Column("old_secret", sa.Text, nullable=True),
        sa.Column("old_secret_until", Moment, nullable=True),
        sa.Column("fence", sa.Integer, nullable=False),
        sa.Column("leased_until", Moment, nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_webhooks"),
    )
    op.create_index("ix_webhooks_team_created_id", "webhooks", ["team", "created", "id"])
    op.create_table(
        "webhook_events",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("created", Moment, nullable=False),
        sa.Column("type", sa.String(32), nullable=False),
        sa.Column("body", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_webhook_events"),
    )
    op.create_index("ix_webhook_events_created", "webhook_events", ["created"])
    op.create_table(
        "webhook_deliveries",
        sa.Column("number", _Counted, nullable=False),
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("webhook", sa.String(32), sa.ForeignKey("webhooks.id"), nullable=False),
        sa.Column("event", sa.String(32), sa.ForeignKey("webhook_events.id"), nullable=False),
        sa.Column("created", Moment, nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("attempts", sa.Integer, nullable=False),
        sa.Column("due", Moment, nullable=True),
        sa.Column("tried", Moment, nullable=True),
        sa.Column("status", sa.Integer, nullable=True),
        sa.Column("trouble", sa.String(16), nullable=True),
        sa.PrimaryKeyConstraint("number", name="pk_webhook_deliveries"),
        sa.UniqueConstraint("id", name="uq_webhook_deliveries_id"),
        sqlite_autoincrement=True,
    )
    for columns in (["state", "due"], ["webhook", "created", "id"], ["event"]):
        op.create_index("_".join(("ix_webhook_deliveries", *columns)), "webhook_deliveries", columns)


def downgrade() -> None:
    """Drop them: nobody is told any more, and what waited to be told is lost."""
    for table in ("webhook_deliveries", "webhook_events", "webhooks"):
        op.drop_table(table)

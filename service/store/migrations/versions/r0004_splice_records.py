"""Splice records, and what they had taught when a takeoff was received."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from service.store.moments import Moment

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the table; takeoffs that are there already have learned from no records."""
    op.create_table(
        "splice_records",
        sa.Column("installation_id", sa.String(32), nullable=False),
        sa.Column("splice", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("sequence", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("form", sa.String(8), nullable=False),
        sa.Column("fibres", sa.Integer, nullable=False),
        sa.Column("remakes", sa.Integer, nullable=False),
        sa.Column("remakes_after_shrinking", sa.Integer, nullable=False),
        sa.Column("document", sa.Text, nullable=False),
        sa.Column("created", Moment, nullable=False),
        sa.PrimaryKeyConstraint("installation_id", "splice", "sequence", name="pk_splice_records"),
    )
    op.add_column("takeoffs", sa.Column("recorded", sa.Text, nullable=True))


def downgrade() -> None:
    """Drop them: all splice records are lost."""
    op.drop_column("takeoffs", "recorded")
    op.drop_table("splice_records")

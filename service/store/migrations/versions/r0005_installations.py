"""Hung closures with their visits, and the plans that add to them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from service.store.moments import Moment

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

_Code = sa.String(64).with_variant(sa.String(64, collation="C"), "postgresql")


def upgrade() -> None:
    """Make the tables."""
    op.create_table(
        "installations",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("created", Moment, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("folded", sa.Text, nullable=False),
        sa.Column("latitude", sa.Double, nullable=True),
        sa.Column("longitude", sa.Double, nullable=True),
        sa.Column("hung", sa.Date, nullable=False),
        sa.Column("closure", _Code, nullable=False),
        sa.Column("plan", sa.String(32), nullable=True),
        sa.Column("cables", sa.Integer, nullable=False),
        sa.Column("trays", sa.Integer, nullable=False),
        sa.Column("splices", sa.Integer, nullable=False),
        sa.Column("visits", sa.Integer, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("contents", sa.Text, nullable=False),
        sa.Column("updated", Moment, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_installations"),
    )
    op.create_index("ix_installations_created_id", "installations", ["created", "id"])
    op.create_index("ix_installations_closure_created_id", "installations", ["closure", "created", "id"])
    op.create_index("ix_installations_latitude", "installations", ["latitude"])
    op.create_index("ix_installations_plan", "installations", ["plan"])
    op.create_table(
        "visits",
        sa.Column("installation_id", sa.String(32), sa.ForeignKey("installations.id"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("document", sa.Text, nullable=False),
        sa.Column("recorded", Moment, nullable=False),
        sa.PrimaryKeyConstraint("installation_id", "number", name="pk_visits"),
    )
    op.create_table(
        "addition_plans",
        sa.Column("plan_id", sa.String(32), sa.ForeignKey("plans.id"), nullable=False),
        sa.Column("installation_id", sa.String(32), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("visit", sa.Integer, nullable=True),
        sa.Column("lying", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("plan_id", name="pk_addition_plans"),
    )


def downgrade() -> None:
    """Drop them: what hangs where is lost; the plans stay."""
    for table in ("addition_plans", "visits", "installations"):
        op.drop_table(table)

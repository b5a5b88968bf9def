"""The catalogue with its history, stored plans, and idempotency keys."""

from __future__ import annotations

import secrets

import sqlalchemy as sa
from alembic import op

from service.store.moments import Moment

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_Code = sa.String(64).with_variant(sa.String(64, collation="C"), "postgresql")


def upgrade() -> None:
    """Make the tables, the catalogue at revision 0, and the key that list cursors are signed with."""
    state = op.create_table(
        "catalogue_state",
        sa.Column("id", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("cursor_key", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_catalogue_state"),
    )
    op.bulk_insert(state, [{"id": 1, "revision": 0, "cursor_key": secrets.token_bytes(32)}])
    op.create_table(
        "entries",
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("code", _Code, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("retired", sa.Boolean, nullable=False),
        sa.Column("used_by_plan", sa.Boolean, nullable=False),
        sa.Column("folded", sa.Text, nullable=False),
        sa.Column("document", sa.Text, nullable=False),
        sa.Column("updated", Moment, nullable=False),
        sa.PrimaryKeyConstraint("kind", "code", name="pk_entries"),
    )
    op.create_table(
        "entry_revisions",
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("code", _Code, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("catalogue_revision", sa.Integer, nullable=False),
        sa.Column("retired", sa.Boolean, nullable=False),
        sa.Column("removed", sa.Boolean, nullable=False),
        sa.Column("document", sa.Text, nullable=False),
        sa.Column("created", Moment, nullable=False),
        sa.PrimaryKeyConstraint("kind", "code", "revision", name="pk_entry_revisions"),
    )
    op.create_index("ix_entry_revisions_catalogue_revision", "entry_revisions", ["catalogue_revision"])
    op.create_table(
        "plans",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("created", Moment, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("folded", sa.Text, nullable=False),
        sa.Column("closure", _Code, nullable=True),
        sa.Column("fits", sa.Boolean, nullable=False),
        sa.Column("splices", sa.Integer, nullable=False),
        sa.Column("trays", sa.Integer, nullable=True),
        sa.Column("optimal", sa.Boolean, nullable=True),
        sa.Column("catalogue_revision", sa.Integer, nullable=False),
        sa.Column("version", sa.String(64), nullable=False),
        sa.Column("request", sa.Text, nullable=False),
        sa.Column("answer", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_plans"),
    )
    op.create_index("ix_plans_created_id", "plans", ["created", "id"])
    op.create_index("ix_plans_closure_created_id", "plans", ["closure", "created", "id"])
    op.create_index("ix_plans_fits_created_id", "plans", ["fits", "created", "id"])
    op.create_table(
        "idempotency",
        sa.Column("key", sa.String(255), nullable=False),
        sa.Column("request_hash", sa.String(128), nullable=False),
        sa.Column("status", sa.Integer, nullable=False),
        sa.Column("plan_id", sa.String(32), nullable=True),
        sa.Column("body", sa.Text, nullable=True),
        sa.Column("created", Moment, nullable=False),
        sa.Column("expires", Moment, nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_idempotency"),
    )
    op.create_index("ix_idempotency_expires", "idempotency", ["expires"])


def downgrade() -> None:
    """Drop everything: catalogue, history and plans are lost."""
    for table in ("idempotency", "plans", "entry_revisions", "entries", "catalogue_state"):
        op.drop_table(table)

"""The record of changes, which can only be added to."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from service.store.moments import Moment

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

_Code = sa.String(64).with_variant(sa.String(64, collation="C"), "postgresql")
_REFUSAL = "what is on record is never changed"


def upgrade() -> None:
    """Make the table, and what refuses to change or delete its rows. What was changed before is not on record."""
    op.create_table(
        "audit",
        sa.Column("number", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("team", sa.Integer, nullable=False),
        sa.Column("created", Moment, nullable=False),
        sa.Column("token", sa.String(32), nullable=True),
        sa.Column("actor", sa.Text, nullable=False),
        sa.Column("operation", sa.String(16), nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("item", _Code, nullable=False),
        sa.Column("before", sa.Integer, nullable=True),
        sa.Column("after", sa.Integer, nullable=True),
        sa.PrimaryKeyConstraint("number", name="pk_audit"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_audit_team_created_number", "audit", ["team", "created", "number"])
    columns = ["team", "kind", "item", "created", "number"]
    op.create_index("ix_audit_team_kind_item_created_number", "audit", columns)
    if op.get_bind().dialect.name == "sqlite":
        for what in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER audit_no_{what.lower()} BEFORE {what} ON audit "
                f"BEGIN SELECT RAISE(ABORT, '{_REFUSAL}'); END"
            )
        return
    op.execute(
        "CREATE FUNCTION audit_refuse() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{_REFUSAL}'; END $$"
    )
    op.execute(
        "CREATE TRIGGER audit_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON audit "
        "FOR EACH STATEMENT EXECUTE FUNCTION audit_refuse()"
    )


def downgrade() -> None:
    """Drop it: who changed what is lost."""
    op.drop_table("audit")
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION audit_refuse()")

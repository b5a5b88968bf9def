"""Orders with their sources, and the stock."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from service.store.moments import Moment

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

_Code = sa.String(64).with_variant(sa.String(64, collation="C"), "postgresql")


def upgrade() -> None:
    """Make the tables, and the one row that is locked for changes of stock."""
    storeroom = op.create_table(
        "storeroom",
        sa.Column("id", sa.Integer, nullable=False, autoincrement=False),
        sa.PrimaryKeyConstraint("id", name="pk_storeroom"),
    )
    op.bulk_insert(storeroom, [{"id": 1}])
    op.create_table(
        "stock",
        sa.Column("code", _Code, nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("on_hand", sa.BigInteger, nullable=False),
        sa.Column("held", sa.BigInteger, nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.CheckConstraint("held >= 0 AND held <= on_hand", name="ck_stock_held"),
        sa.PrimaryKeyConstraint("code", "kind", name="pk_stock"),
    )
    op.create_table(
        "orders",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("created", Moment, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("folded", sa.Text, nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("revision", sa.Integer, nullable=False),
        sa.Column("lines", sa.Integer, nullable=False),
        sa.Column("totals", sa.Text, nullable=False),
        sa.Column("moments", sa.Text, nullable=False),
        sa.Column("short", sa.Text, nullable=True),
        sa.Column("document", sa.Text, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_orders"),
    )
    op.create_index("ix_orders_created_id", "orders", ["created", "id"])
    op.create_index("ix_orders_state_created_id", "orders", ["state", "created", "id"])
    op.create_table(
        "order_sources",
        sa.Column("order_id", sa.String(32), sa.ForeignKey("orders.id"), nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("source", sa.String(32), nullable=False),
        sa.PrimaryKeyConstraint("order_id", "kind", "source", name="pk_order_sources"),
    )
    op.create_index("ix_order_sources_kind_source", "order_sources", ["kind", "source"])


def downgrade() -> None:
    """Drop them: all orders and the stock are lost."""
    for table in ("order_sources", "orders", "stock", "storeroom"):
        op.drop_table(table)

"""Takeoffs: their splice points, demands, results, and the chunks that workers take."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from service.store.moments import Moment

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_Code = sa.String(64).with_variant(sa.String(64, collation="C"), "postgresql")
_Counted = sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _of_takeoff(table: str) -> list[sa.schema.SchemaItem]:
    return [
        sa.Column("takeoff", _Counted, sa.ForeignKey("takeoffs.number"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False, autoincrement=False),
        sa.PrimaryKeyConstraint("takeoff", "number", name=f"pk_{table}"),
    ]


def upgrade() -> None:
    """Make the tables."""
    whole = ("points", "demands", "judged", "planned", "done", "faulty", "fitting", "unfitting", "unproven")
    op.create_table(
        "takeoffs",
        sa.Column("number", _Counted, nullable=False, autoincrement=True),
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("created", Moment, nullable=False),
        sa.Column("touched", Moment, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("folded", sa.Text, nullable=False),
        sa.Column("tags", sa.Text, nullable=False),
        sa.Column("strict", sa.Boolean, nullable=False),
        sa.Column("closure_kinds_most", sa.Integer, nullable=True),
        sa.Column("catalogue_revision", sa.Integer, nullable=False),
        sa.Column("version", sa.String(64), nullable=False),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("stage", sa.String(16), nullable=True),
        sa.Column("why", sa.Text, nullable=True),
        sa.Column("started", Moment, nullable=True),
        sa.Column("ended", Moment, nullable=True),
        *(sa.Column(name, sa.Integer, nullable=False) for name in (*whole, "chunk_demands", "chunks_left")),
        *(sa.Column(name, sa.Text, nullable=True) for name in ("chosen", "choice", "totals")),
        sa.PrimaryKeyConstraint("number", name="pk_takeoffs"),
        sa.UniqueConstraint("id", name="uq_takeoffs_id"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_takeoffs_created_id", "takeoffs", ["created", "id"])
    op.create_table(
        "takeoff_points",
        sa.Column("takeoff", _Counted, sa.ForeignKey("takeoffs.number"), nullable=False),
        sa.Column("place", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("line", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("tags", sa.JSON, nullable=False),
        sa.Column("demand", sa.Integer, nullable=True),
        sa.Column("names", sa.Text, nullable=False),
        sa.Column("faults", sa.Text, nullable=True),
        sa.PrimaryKeyConstraint("takeoff", "place", name="pk_takeoff_points"),
    )
    op.create_index("ix_takeoff_points_takeoff_demand", "takeoff_points", ["takeoff", "demand"])
    op.create_table(
        "takeoff_demands",
        *_of_takeoff("takeoff_demands"),
        sa.Column("points", sa.Integer, nullable=False),
        sa.Column("request", sa.LargeBinary, nullable=False),
    )
    op.create_table(
        "takeoff_results",
        *_of_takeoff("takeoff_results"),
        sa.Column("fits", sa.Boolean, nullable=True),
        sa.Column("closure", _Code, nullable=True),
        sa.Column("splices", sa.Integer, nullable=False),
        sa.Column("trays", sa.Integer, nullable=True),
        sa.Column("optimal", sa.Boolean, nullable=True),
        sa.Column("faults", sa.Text, nullable=True),
        sa.Column("seconds", sa.Double, nullable=False),
        sa.Column("answer", sa.LargeBinary, nullable=True),
    )
    op.create_table("takeoff_judged", *_of_takeoff("takeoff_judged"), sa.Column("closures", sa.Text, nullable=False))
    op.create_table(
        "takeoff_chunks",
        sa.Column("id", _Counted, nullable=False, autoincrement=True),
        sa.Column("takeoff", _Counted, sa.ForeignKey("takeoffs.number"), nullable=False),
        sa.Column("stage", sa.String(16), nullable=False),
        sa.Column("first", sa.Integer, nullable=False),
        sa.Column("last", sa.Integer, nullable=False),
        sa.Column("turn", sa.BigInteger, nullable=False),
        sa.Column("state", sa.String(8), nullable=False),
        sa.Column("fence", sa.Integer, nullable=False),
        sa.Column("worker", sa.String(128), nullable=True),
        sa.Column("leased_until", Moment, nullable=True),
        sa.Column("deaths", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_takeoff_chunks"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_takeoff_chunks_takeoff", "takeoff_chunks", ["takeoff"])
    op.create_index("ix_takeoff_chunks_state_turn_id", "takeoff_chunks", ["state", "turn", "id"])
    if op.get_bind().dialect.name == "postgresql":
        # They are compressed before they come here; the server need not try it again.
        op.execute("ALTER TABLE takeoff_demands ALTER COLUMN request SET STORAGE EXTERNAL")
        op.execute("ALTER TABLE takeoff_results ALTER COLUMN answer SET STORAGE EXTERNAL")


def downgrade() -> None:
    """Drop them: takeoffs and all that was planned for them are lost."""
    for table in ("chunks", "judged", "results", "demands", "points"):
        op.drop_table(f"takeoff_{table}")
    op.drop_table("takeoffs")

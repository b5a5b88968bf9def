"""Teams and their tokens."""

from __future__ import annotations

from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

from service.store.moments import Moment

revision = "0010"
down_revision = "0005"
branch_labels = None
depends_on = None

_Code = sa.String(64).with_variant(sa.String(64, collation="C"), "postgresql")


def upgrade() -> None:
    """Make the tables, and the team that everything stored so far belongs to."""
    op.create_table(
        "teams",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("name", _Code, nullable=False),
        sa.Column("created", Moment, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_teams"),
        sa.UniqueConstraint("name", name="uq_teams_name"),
    )
    teams = sa.table("teams", sa.column("name", sa.String), sa.column("created", Moment))
    op.execute(sa.insert(teams).values(name="default", created=datetime.now(UTC)))
    op.create_table(
        "tokens",
        sa.Column("id", sa.String(32), nullable=False),
        sa.Column("team", sa.Integer, sa.ForeignKey("teams.id"), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("scopes", sa.String(100), nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("created", Moment, nullable=False),
        sa.Column("expires", Moment, nullable=False),
        sa.Column("revoked", Moment, nullable=True),
        sa.Column("used", Moment, nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_tokens"),
    )
    op.create_index("ix_tokens_team_created_id", "tokens", ["team", "created", "id"])


def downgrade() -> None:
    """Drop them: whoever had a token has none any more, and the server listens on the loopback address alone."""
    for table in ("tokens", "teams"):
        op.drop_table(table)

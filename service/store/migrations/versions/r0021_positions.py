"""Where the splice points of takeoffs are."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0021"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the column; of what was received before, nobody knows."""
    op.add_column("takeoff_points", sa.Column("position", sa.Text, nullable=True))


def downgrade() -> None:
    """Drop it: the positions are lost."""
    op.drop_column("takeoff_points", "position")

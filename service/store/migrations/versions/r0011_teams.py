"""Every row belongs to a team; what was there before belongs to the team ``default``."""

from __future__ import annotations

import secrets

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

_DEFAULT = 1
_KEYED = {
    "entries": ("kind", "code"),
    "entry_revisions": ("kind", "code", "revision"),
    "idempotency": ("key",),
    "stock": ("code", "kind"),
}
"""Tables whose key is a code or a word of the caller's: two teams may have the same."""
_PLAIN = ("plans", "takeoffs", "orders", "installations", "splice_records")
_INDEXES = (
    ("entry_revisions", ("catalogue_revision",)),
    ("plans", ("created", "id")),
    ("plans", ("closure", "created", "id")),
    ("plans", ("fits", "created", "id")),
    ("takeoffs", ("created", "id")),
    ("orders", ("created", "id")),
    ("orders", ("state", "created", "id")),
    ("installations", ("created", "id")),
    ("installations", ("closure", "created", "id")),
    ("installations", ("latitude",)),
    ("installations", ("plan",)),
)


def upgrade() -> None:
    """Give every row its team. A team that was made before it could have anything gets its empty catalogue."""
    for table, columns in _INDEXES:
        op.drop_index(_name(table, columns), table)
    for table, key in _KEYED.items():
        with op.batch_alter_table(table) as batch:
            batch.add_column(sa.Column("team", sa.Integer, nullable=False, server_default=sa.text(str(_DEFAULT))))
            batch.drop_constraint(f"pk_{table}", type_="primary")
            batch.create_primary_key(f"pk_{table}", ["team", *key])
        with op.batch_alter_table(table) as batch:
            batch.alter_column("team", server_default=None)
    for table in _PLAIN:
        # SQLite cannot take the default away again without copying the table; rows say their team all the same.
        column = sa.Column("team", sa.Integer, nullable=False, server_default=sa.text(str(_DEFAULT)))
        op.add_column(table, column)
    for table in ("catalogue_state", "storeroom"):
        op.execute(f"ALTER TABLE {table} RENAME COLUMN id TO team")
    for table, columns in _INDEXES:
        op.create_index(_name(table, ("team", *columns)), table, ["team", *columns])
    op.create_index("ix_splice_records_team_form", "splice_records", ["team", "form"])
    teams = sa.table("teams", sa.column("id", sa.Integer))
    state = sa.table(
        "catalogue_state", sa.column("team", sa.Integer), sa.column("revision", sa.Integer),
        sa.column("cursor_key", sa.LargeBinary),
    )
    storeroom = sa.table("storeroom", sa.column("team", sa.Integer))
    for team in op.get_bind().scalars(sa.select(teams.c.id).where(teams.c.id != _DEFAULT)).all():
        op.execute(sa.insert(state).values(team=team, revision=0, cursor_key=secrets.token_bytes(32)))
        op.execute(sa.insert(storeroom).values(team=team))


def downgrade() -> None:
    """Take the teams away again: what belongs to the team ``default`` stays, what belongs to others is lost."""
    its = f"<> {_DEFAULT}"
    for child, column, parent, its_key in (
        ("addition_plans", "plan_id", "plans", "id"),
        ("order_sources", "order_id", "orders", "id"),
        ("visits", "installation_id", "installations", "id"),
        *((f"takeoff_{each}", "takeoff", "takeoffs", "number") for each in (
            "chunks", "points", "results", "judged", "demands")),
    ):
        op.execute(f"DELETE FROM {child} WHERE {column} IN (SELECT {its_key} FROM {parent} WHERE team {its})")
    for table in (*_KEYED, *_PLAIN, "catalogue_state", "storeroom"):
        op.execute(f"DELETE FROM {table} WHERE team {its}")
    op.drop_index("ix_splice_records_team_form", "splice_records")
    for table, indexed in _INDEXES:
        op.drop_index(_name(table, ("team", *indexed)), table)
    for table in ("catalogue_state", "storeroom"):
        op.execute(f"ALTER TABLE {table} RENAME COLUMN team TO id")
    for table in _PLAIN:
        op.drop_column(table, "team")
    for table, key in _KEYED.items():
        with op.batch_alter_table(table) as batch:
            batch.drop_constraint(f"pk_{table}", type_="primary")
            batch.create_primary_key(f"pk_{table}", list(key))
            batch.drop_column("team")
    for table, indexed in _INDEXES:
        op.create_index(_name(table, indexed), table, list(indexed))


def _name(table: str, columns: tuple[str, ...]) -> str:
    return "_".join(("ix", table, *columns))

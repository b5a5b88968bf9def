"""The tables. What is searched by is a column; what is only kept is one text."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, Index, LargeBinary, MetaData, String, Text
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

from service.store.moments import Moment
from service.store.teams import team_column

# Codes sort by their bytes on every database, so that lists and snapshots have one order everywhere.
Code = String(64).with_variant(String(64, collation="C"), "postgresql")


class Tables(DeclarativeBase):
    """All tables of the store; constraints are named so that migrations can find them."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


class CatalogueState(Tables):
    """One row a team: the catalogue's revision, counted from 0, and the key that list cursors are signed with."""

    __tablename__ = "catalogue_state"

    team: Mapped[int] = team_column(primary_key=True)
    revision: Mapped[int]
    cursor_key: Mapped[bytes] = mapped_column(LargeBinary)


class EntryRow(Tables):
    """A catalogue entry as it is now. ``folded`` is code and title for searching, whatever their case."""

    __tablename__ = "entries"

    team: Mapped[int] = team_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(16), primary_key=True)
    code: Mapped[str] = mapped_column(Code, primary_key=True)
    revision: Mapped[int]
    retired: Mapped[bool]
    used_by_plan: Mapped[bool]
    folded: Mapped[str] = mapped_column(Text)
    document: Mapped[str] = mapped_column(Text)
    updated: Mapped[datetime] = mapped_column(Moment)


class EntryRevision(Tables):
    """What an entry was from a catalogue revision on; rows are added, never changed or deleted."""

    __tablename__ = "entry_revisions"

    team: Mapped[int] = team_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(16), primary_key=True)
    code: Mapped[str] = mapped_column(Code, primary_key=True)
    revision: Mapped[int] = mapped_column(primary_key=True)
    catalogue_revision: Mapped[int]
    retired: Mapped[bool]
    removed: Mapped[bool]
    document: Mapped[str] = mapped_column(Text)
    created: Mapped[datetime] = mapped_column(Moment)

    __table_args__ = (Index(None, "team", "catalogue_revision"),)


class PlanRow(Tables):
    """A stored plan: request and answer as they were, and the columns that plans are listed by."""

    __tablename__ = "plans"

    id: Mapped[str] = mapped_column(String(32), primary_key=True)
    team: Mapped[int] = team_column()
    created: Mapped[datetime] = mapped_column(Moment)
    name: Mapped[str] = mapped_column(Text)
    folded: Mapped[str] = mapped_column(Text)
    closure: Mapped[str | None] = mapped_column(Code)
    fits: Mapped[bool]
    splices: Mapped[int]
    trays: Mapped[int | None]
    optimal: Mapped[bool | None]
    catalogue_revision: Mapped[int]
    version: Mapped[str] = mapped_column(String(64))
    request: Mapped[str] = mapped_column(Text)
    answer: Mapped[str] = mapped_column(Text)

    __table_args__ = (
        Index(None, "team", "created", "id"),
        Index(None, "team", "closure", "created", "id"),
        Index(None, "team", "fits", "created", "id"),
    )


class AdditionPlanRow(Tables):
    """Which installation a stored plan adds to, at which revision, and what lay in it then (``lying``, a document).

    ``visit`` is the number of the visit that recorded it. It goes with the plan and outlasts the installation.
    """

    __tablename__ = "addition_plans"

    plan_id: Mapped[str] = mapped_column(String(32), ForeignKey(PlanRow.id), primary_key=True)
    installation_id: Mapped[str] = mapped_column(String(32))
    revision: Mapped[int]
    visit: Mapped[int | None]
    lying: Mapped[str] = mapped_column(Text)


class IdempotencyRow(Tables):
    """The answer that was given to a request under its key, until the key expires."""

    __tablename__ = "idempotency"

    team: Mapped[int] = team_column(primary_key=True)
    key: Mapped[str] = mapped_column(String(255), primary_key=True)
    request_hash: Mapped[str] = mapped_column(String(128))
    status: Mapped[int]
    plan_id: Mapped[str | None] = mapped_column(String(32))
    body: Mapped[str | None] = mapped_column(Text)
    created: Mapped[datetime] = mapped_column(Moment)
    expires: Mapped[datetime] = mapped_column(Moment, index=True)

"""The tables of hung closures and of the visits to them."""

from __future__ import annotations

from datetime import date, datetime

from sqlalchemy import Date, Double, ForeignKey, Index, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from service.store.moments import Moment
from service.store.tables import Code, Tables
from service.store.teams import team_column


class InstallationRow(Tables):
    """A hung closure as it stands; ``contents`` is a document, ``plan`` the one that it was hung from.

    ``revision`` counts every change; a change names the revision that it was made from, or it is none.
    """

    __tablename__ = "installations"

    id: Mapped[str] = mapped_column(String(32), primary_key=True)
    team: Mapped[int] = team_column()
    created: Mapped[datetime] = mapped_column(Moment)
    name: Mapped[str] = mapped_column(Text)
    place: Mapped[str] = mapped_column(Text)
    folded: Mapped[str] = mapped_column(Text)
    latitude: Mapped[float | None] = mapped_column(Double)
    longitude: Mapped[float | None] = mapped_column(Double)
    hung: Mapped[date] = mapped_column(Date)
    closure: Mapped[str] = mapped_column(Code)
    plan: Mapped[str | None] = mapped_column(String(32))
    cables: Mapped[int]
    trays: Mapped[int]
    splices: Mapped[int]
    visits: Mapped[int]
    revision: Mapped[int]
    contents: Mapped[str] = mapped_column(Text)
    updated: Mapped[datetime] = mapped_column(Moment)

    __table_args__ = (
        Index(None, "team", "created", "id"),
        Index(None, "team", "closure", "created", "id"),
        Index(None, "team", "latitude"),
        Index(None, "team", "plan"),
    )


class VisitRow(Tables):
    """What was done on a visit; rows are added, never changed, and go with the installation."""

    __tablename__ = "visits"

    installation_id: Mapped[str] = mapped_column(String(32), ForeignKey(InstallationRow.id), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    document: Mapped[str] = mapped_column(Text)
    recorded: Mapped[datetime] = mapped_column(Moment)

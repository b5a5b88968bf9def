"""The tables of teams and tokens."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, Index, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from service.store.moments import Moment
from service.store.tables import Code, Tables


class TeamRow(Tables):
    """A team; its number is what other rows name, so that a name is written once."""

    __tablename__ = "teams"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(Code)
    created: Mapped[datetime] = mapped_column(Moment)

    __table_args__ = (UniqueConstraint("name"),)


class TokenRow(Tables):
    """A token without its secret, of which only the SHA-256 is kept. Rows stay when it is revoked or has expired.

    So a database that has ever had a token is never open to all again.
    """

    __tablename__ = "tokens"

    id: Mapped[str] = mapped_column(String(32), primary_key=True)
    team: Mapped[int] = mapped_column(ForeignKey(TeamRow.id))
    name: Mapped[str] = mapped_column(Text)
    scopes: Mapped[str] = mapped_column(String(100))
    digest: Mapped[str] = mapped_column(String(64))
    created: Mapped[datetime] = mapped_column(Moment)
    expires: Mapped[datetime] = mapped_column(Moment)
    revoked: Mapped[datetime | None] = mapped_column(Moment)
    used: Mapped[datetime | None] = mapped_column(Moment)

    __table_args__ = (Index(None, "team", "created", "id"),)

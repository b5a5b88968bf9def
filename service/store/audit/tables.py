"""The table of the record of changes. A trigger on either database refuses to change or delete its rows."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import BigInteger, Index, Integer, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from service.store.moments import Moment
from service.store.tables import Code, Tables
from service.store.teams import team_column


class AuditRow(Tables):
    """One change; ``token`` is the id of the token that it was made by, ``actor`` its name then."""

    __tablename__ = "audit"

    number: Mapped[int] = mapped_column(BigInteger().with_variant(Integer(), "sqlite"), primary_key=True)
    team: Mapped[int] = team_column()
    created: Mapped[datetime] = mapped_column(Moment)
    token: Mapped[str | None] = mapped_column(String(32))
    actor: Mapped[str] = mapped_column(Text)
    operation: Mapped[str] = mapped_column(String(16))
    kind: Mapped[str] = mapped_column(String(16))
    item: Mapped[str] = mapped_column(Code)
    before: Mapped[int | None]
    after: Mapped[int | None]

    __table_args__ = (
        Index(None, "team", "created", "number"),
        Index(None, "team", "kind", "item", "created", "number"),
        {"sqlite_autoincrement": True},
    )

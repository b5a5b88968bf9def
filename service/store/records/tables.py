"""The table of splice records. Records are added, never changed: the last one of a splice counts."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Index, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from service.store.moments import Moment
from service.store.tables import Tables
from service.store.teams import team_column


class SpliceRecordRow(Tables):
    """A record of a splice, each splice's counted from 1 by ``sequence``; ``document`` is JSON.

    ``remakes_after_shrinking`` are those that cost the sleeve, all of them where the record does not tell.
    """

    __tablename__ = "splice_records"

    installation_id: Mapped[str] = mapped_column(String(32), primary_key=True)
    team: Mapped[int] = team_column()
    splice: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    sequence: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    form: Mapped[str] = mapped_column(String(8))
    fibres: Mapped[int]
    remakes: Mapped[int]
    remakes_after_shrinking: Mapped[int]
    document: Mapped[str] = mapped_column(Text)
    created: Mapped[datetime] = mapped_column(Moment)

    __table_args__ = (Index(None, "team", "form"),)

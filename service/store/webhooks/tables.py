"""The tables of webhooks, of the events that they are told of, and of the deliveries."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import BigInteger, Double, ForeignKey, Index, Integer, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from service.store.moments import Moment
from service.store.tables import Tables
from service.store.teams import team_column

Counted = BigInteger().with_variant(Integer(), "sqlite")


class WebhookRow(Tables):
    """A webhook. ``events`` are words with blanks between. The secrets stand here as they are: they have to sign.

    ``fence`` and ``leased_until`` say which sender is at it: one at a time, so no receiver gets two at once.
    """

    __tablename__ = "webhooks"

    id: Mapped[str] = mapped_column(String(32), primary_key=True)
    team: Mapped[int] = team_column()
    created: Mapped[datetime] = mapped_column(Moment)
    revision: Mapped[int]
    url: Mapped[str] = mapped_column(Text)
    events: Mapped[str] = mapped_column(Text)
    description: Mapped[str] = mapped_column(Text)
    full_share: Mapped[float] = mapped_column(Double)
    active: Mapped[bool]
    off_because: Mapped[str | None] = mapped_column(String(16))
    off_since: Mapped[datetime | None] = mapped_column(Moment)
    failing_since: Mapped[datetime | None] = mapped_column(Moment)
    tried: Mapped[datetime | None] = mapped_column(Moment)
    secret: Mapped[str] = mapped_column(Text)
    old_secret: Mapped[str | None] = mapped_column(Text)
    old_secret_until: Mapped[datetime | None] = mapped_column(Moment)
    fence: Mapped[int]
    leased_until: Mapped[datetime | None] = mapped_column(Moment)

    __table_args__ = (Index(None, "team", "created", "id"),)


class EventRow(Tables):
    """What happened, as it is told: ``body`` is JSON and never changes. It is there once, whoever is told of it."""

    __tablename__ = "webhook_events"

    id: Mapped[str] = mapped_column(String(32), primary_key=True)
    created: Mapped[datetime] = mapped_column(Moment, index=True)
    type: Mapped[str] = mapped_column(String(32))
    body: Mapped[str] = mapped_column(Text)


class DeliveryRow(Tables):
    """An event on its way to one webhook. ``number`` counts up, so that of several due the older one goes first."""

    __tablename__ = "webhook_deliveries"

    number: Mapped[int] = mapped_column(Counted, primary_key=True)
    id: Mapped[str] = mapped_column(String(32), unique=True)
    webhook: Mapped[str] = mapped_column(String(32), ForeignKey(WebhookRow.id))
    event: Mapped[str] = mapped_column(String(32), ForeignKey(EventRow.id), index=True)
    created: Mapped[datetime] = mapped_column(Moment)
    state: Mapped[str] = mapped_column(String(16))
    attempts: Mapped[int]
    due: Mapped[datetime | None] = mapped_column(Moment)
    tried: Mapped[datetime | None] = mapped_column(Moment)
    status: Mapped[int | None]
    trouble: Mapped[str | None] = mapped_column(String(16))

    __table_args__ = (
        Index(None, "state", "due"),
        Index(None, "webhook", "created", "id"),
        {"sqlite_autoincrement": True},
    )

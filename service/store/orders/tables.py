"""The tables of orders and stock. Quantities are whole millionths of the item's unit, so that sums are exact."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, Index, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from service.store.moments import Moment
from service.store.tables import Code, Tables
from service.store.teams import team_column


class StoreroomRow(Tables):
    """One row a team, locked by whoever changes its stock or makes an order: one at a time, so none is sold twice."""

    __tablename__ = "storeroom"

    team: Mapped[int] = team_column(primary_key=True)


class StockRow(Tables):
    """What lies in the store of an item, and what of that orders hold; ``revision`` counts every change."""

    __tablename__ = "stock"

    team: Mapped[int] = team_column(primary_key=True)
    code: Mapped[str] = mapped_column(Code, primary_key=True)
    kind: Mapped[str] = mapped_column(String(16), primary_key=True)
    on_hand: Mapped[int] = mapped_column(BigInteger)
    held: Mapped[int] = mapped_column(BigInteger)
    revision: Mapped[int]

    __table_args__ = (CheckConstraint("held >= 0 AND held <= on_hand", name="held"),)


class OrderRow(Tables):
    """An order: ``document`` is what it was when it was made, and never changes; ``moments`` are JSON, by state.

    ``short`` is JSON as well: of which items how many packs came, where not all did. None before anything was due.
    """

    __tablename__ = "orders"

    id: Mapped[str] = mapped_column(String(32), primary_key=True)
    team: Mapped[int] = team_column()
    created: Mapped[datetime] = mapped_column(Moment)
    name: Mapped[str] = mapped_column(Text)
    folded: Mapped[str] = mapped_column(Text)
    state: Mapped[str] = mapped_column(String(16))
    revision: Mapped[int]
    lines: Mapped[int]
    totals: Mapped[str] = mapped_column(Text)
    moments: Mapped[str] = mapped_column(Text)
    short: Mapped[str | None] = mapped_column(Text)
    document: Mapped[str] = mapped_column(Text)

    __table_args__ = (Index(None, "team", "created", "id"), Index(None, "team", "state", "created", "id"))


class OrderSourceRow(Tables):
    """A plan or takeoff that an order was made from; it outlasts the plan."""

    __tablename__ = "order_sources"

    order_id: Mapped[str] = mapped_column(String(32), ForeignKey(OrderRow.id), primary_key=True)
    kind: Mapped[str] = mapped_column(String(16), primary_key=True)
    source: Mapped[str] = mapped_column(String(32), primary_key=True)

    __table_args__ = (Index(None, "kind", "source"),)

"""The tables of takeoffs. Children name their takeoff by ``number``, which is short and never used again."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import JSON, BigInteger, ForeignKey, Index, Integer, LargeBinary, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from service.store.moments import Moment
from service.store.tables import Code, Tables
from service.store.teams import team_column

# SQLite counts up by itself in a column of its own kind of integer alone.
Counted = BigInteger().with_variant(Integer(), "sqlite")


class TakeoffRow(Tables):
    """A takeoff and how far it has got. ``chunks_left`` counts the chunks of its stage that are not done."""

    __tablename__ = "takeoffs"

    number: Mapped[int] = mapped_column(Counted, primary_key=True)
    id: Mapped[str] = mapped_column(String(32), unique=True)
    team: Mapped[int] = team_column()
    created: Mapped[datetime] = mapped_column(Moment)
    touched: Mapped[datetime] = mapped_column(Moment)
    name: Mapped[str] = mapped_column(Text)
    folded: Mapped[str] = mapped_column(Text)
    tags: Mapped[str] = mapped_column(Text)
    strict: Mapped[bool]
    closure_kinds_most: Mapped[int | None]
    catalogue_revision: Mapped[int]
    version: Mapped[str] = mapped_column(String(64))
    state: Mapped[str] = mapped_column(String(16))
    stage: Mapped[str | None] = mapped_column(String(16))
    why: Mapped[str | None] = mapped_column(Text)
    started: Mapped[datetime | None] = mapped_column(Moment)
    ended: Mapped[datetime | None] = mapped_column(Moment)
    points: Mapped[int]
    demands: Mapped[int]
    judged: Mapped[int]
    planned: Mapped[int]
    done: Mapped[int]
    faulty: Mapped[int]
    fitting: Mapped[int]
    unfitting: Mapped[int]
    unproven: Mapped[int]
    chunk_demands: Mapped[int]
    chunks_left: Mapped[int]
    chosen: Mapped[str | None] = mapped_column(Text)
    choice: Mapped[str | None] = mapped_column(Text)
    totals: Mapped[str | None] = mapped_column(Text)
    recorded: Mapped[str | None] = mapped_column(Text)

    __table_args__ = (Index(None, "team", "created", "id"), {"sqlite_autoincrement": True})


class PointRow(Tables):
    """A splice point. ``faults``, ``names`` and ``position`` are JSON; no demand where it could not be read."""

    __tablename__ = "takeoff_points"

    takeoff: Mapped[int] = mapped_column(Counted, ForeignKey(TakeoffRow.number), primary_key=True)
    place: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    line: Mapped[int]
    name: Mapped[str] = mapped_column(Text)
    tags: Mapped[dict[str, str]] = mapped_column(JSON)
    demand: Mapped[int | None]
    names: Mapped[str] = mapped_column(Text)
    faults: Mapped[str | None] = mapped_column(Text)
    position: Mapped[str | None] = mapped_column(Text)

    __table_args__ = (Index(None, "takeoff", "demand"),)


class DemandRow(Tables):
    """What equal splice points ask for; ``request`` is compressed JSON."""

    __tablename__ = "takeoff_demands"

    takeoff: Mapped[int] = mapped_column(Counted, ForeignKey(TakeoffRow.number), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    points: Mapped[int]
    request: Mapped[bytes] = mapped_column(LargeBinary)


class ResultRow(Tables):
    """What came of a demand. The key is what keeps it from being planned twice; ``answer`` is compressed JSON."""

    __tablename__ = "takeoff_results"

    takeoff: Mapped[int] = mapped_column(Counted, ForeignKey(TakeoffRow.number), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    fits: Mapped[bool | None]
    closure: Mapped[str | None] = mapped_column(Code)
    splices: Mapped[int]
    trays: Mapped[int | None]
    optimal: Mapped[bool | None]
    faults: Mapped[str | None] = mapped_column(Text)
    seconds: Mapped[float]
    answer: Mapped[bytes | None] = mapped_column(LargeBinary)


class JudgedRow(Tables):
    """What each closure would come to for a demand, as JSON."""

    __tablename__ = "takeoff_judged"

    takeoff: Mapped[int] = mapped_column(Counted, ForeignKey(TakeoffRow.number), primary_key=True)
    number: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    closures: Mapped[str] = mapped_column(Text)


class ChunkRow(Tables):
    """Demands to be worked on together. ``state``: waiting, leased, done.

    Chunks are handed out by ``turn``: where takeoffs run side by side their turns interleave. ``deaths`` counts the
    workers that ended while they held it.
    """

    __tablename__ = "takeoff_chunks"

    id: Mapped[int] = mapped_column(Counted, primary_key=True)
    takeoff: Mapped[int] = mapped_column(Counted, ForeignKey(TakeoffRow.number), index=True)
    stage: Mapped[str] = mapped_column(String(16))
    first: Mapped[int]
    last: Mapped[int]
    turn: Mapped[int] = mapped_column(BigInteger)
    state: Mapped[str] = mapped_column(String(8))
    fence: Mapped[int]
    worker: Mapped[str | None] = mapped_column(String(128))
    leased_until: Mapped[datetime | None] = mapped_column(Moment)
    deaths: Mapped[int]

    __table_args__ = (Index(None, "state", "turn", "id"), {"sqlite_autoincrement": True})

"""Bringing a chunk in: its results, the progress of its takeoff and the chunk's end are one change, or none."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, insert, select, update

from service.domain.takeoff import Choice, Chunk, DemandResult, Judged
from service.store import usage
from service.store.errors import NotFound
from service.store.takeoffs.advancing import change, follow
from service.store.takeoffs.cutting import Deliver
from service.store.takeoffs.leasing import still_held
from service.store.takeoffs.locking import held
from service.store.takeoffs.packed import faults_written, words_written
from service.store.takeoffs.tables import ChunkRow, DemandRow, JudgedRow, ResultRow, TakeoffRow
from service.store.teams import bound, mine
from service.store.text import written

_takeoffs = TakeoffRow.__table__
_demands = DemandRow.__table__
_chunks = ChunkRow.__table__

Bring = Callable[[Connection, Row[Any]], None]
"""Writes what a chunk came to; called with its takeoff's row, which is held."""


def bring_in(connection: Connection, chunk: Chunk, bring: Bring, now: datetime, deliver: Deliver | None) -> bool:
    """Complete a chunk; False, and nothing written, where another worker has it now or it is no longer wanted."""
    try:
        takeoff = held(connection, chunk.takeoff)
    except NotFound:
        return False
    if takeoff.state != "running" or still_held(connection, chunk) is None:
        return False
    # Entries that plans use are marked in the catalogue of the takeoff's own team.
    connection = bound(connection, takeoff.team)
    bring(connection, takeoff)
    complete(connection, takeoff, chunk.id, now, deliver)
    return True


def complete(connection: Connection, takeoff: Row[Any], chunk: int, now: datetime, deliver: Deliver | None) -> None:
    """Mark a chunk as done; where it was the last of its stage, the next stage begins."""
    done = {"state": "done", "leased_until": None}
    connection.execute(update(ChunkRow).where(_chunks.c.id == chunk).values(**done))
    fewer = update(TakeoffRow).where(mine(connection, _takeoffs), _takeoffs.c.number == takeoff.number)
    fewer = fewer.values(chunks_left=_takeoffs.c.chunks_left - 1)
    if connection.scalars(fewer.returning(_takeoffs.c.chunks_left)).one() == 0:
        follow(connection, takeoff, now, deliver)


def planned(chunk: Chunk, results: Sequence[DemandResult], answers: Sequence[bytes | None]) -> Bring:
    """Bring in a planning chunk; ``answers`` are those of the results, compressed."""
    _insist_on_all(chunk, [result.number for result in results])

    def bring(connection: Connection, takeoff: Row[Any]) -> None:
        add_results(connection, takeoff, results, answers)
        usage.mark_used(connection, {key for result in results for key in result.uses})

    return bring


def add_results(
    connection: Connection, takeoff: Row[Any], results: Sequence[DemandResult], answers: Sequence[bytes | None]
) -> None:
    """Store results of demands and count the splice points that they are for."""
    first, last = results[0].number, results[-1].number
    numbers = select(_demands.c.number, _demands.c.points).where(_demands.c.takeoff == takeoff.number)
    asked = connection.execute(numbers.where(_demands.c.number.between(first, last)))
    points = {number: count for number, count in asked}  # noqa: C416 - rows are no pairs to a type checker
    connection.execute(
        insert(ResultRow),
        [_row(takeoff.number, result, answer) for result, answer in zip(results, answers, strict=True)],
    )

    def counted(of: Iterable[DemandResult]) -> int:
        return sum(points[result.number] for result in of)

    change(
        connection,
        takeoff.number,
        planned=_takeoffs.c.planned + len(results),
        done=_takeoffs.c.done + counted(results),
        fitting=_takeoffs.c.fitting + counted(result for result in results if result.fits),
        unfitting=_takeoffs.c.unfitting + counted(result for result in results if result.fits is False),
        faulty=_takeoffs.c.faulty + counted(result for result in results if result.fits is None),
        unproven=_takeoffs.c.unproven + counted(r for r in results if r.fits and not r.optimal),
    )


def _row(takeoff: int, result: DemandResult, answer: bytes | None) -> dict[str, Any]:
    return {
        "takeoff": takeoff,
        "number": result.number,
        "fits": result.fits,
        "closure": result.closure,
        "splices": result.splices,
        "trays": result.trays,
        "optimal": result.optimal,
        "faults": faults_written(result.faults),
        "seconds": result.seconds,
        "answer": answer,
    }


def judged(chunk: Chunk, judgements: Sequence[Judged]) -> Bring:
    """Bring in a judging chunk."""
    _insist_on_all(chunk, [judgement.number for judgement in judgements])

    def bring(connection: Connection, takeoff: Row[Any]) -> None:
        add_judged(connection, takeoff, judgements)

    return bring


def add_judged(connection: Connection, takeoff: Row[Any], judgements: Sequence[Judged]) -> None:
    """Store what closures would come to for demands."""
    rows = [
        {"takeoff": takeoff.number, "number": each.number, "closures": words_written(each.closures)}
        for each in judgements
    ]
    connection.execute(insert(JudgedRow), rows)
    change(connection, takeoff.number, judged=_takeoffs.c.judged + len(rows))


def chosen(choice: Choice) -> Bring:
    """Bring in the choosing chunk."""

    def bring(connection: Connection, takeoff: Row[Any]) -> None:
        codes, told = "\n".join(choice.closures), written(choice.document)
        change(connection, takeoff.number, chosen=codes, choice=told)

    return bring


def added_up(document: bytes) -> Bring:
    """Bring in the chunk that adds up: the totals, as JSON."""

    def bring(connection: Connection, takeoff: Row[Any]) -> None:
        change(connection, takeoff.number, totals=document.decode())

    return bring


def _insist_on_all(chunk: Chunk, numbers: list[int]) -> None:
    if numbers != list(range(chunk.first, chunk.last + 1)):
        raise ValueError("a chunk's results are to be those of its demands, in order and all of them")

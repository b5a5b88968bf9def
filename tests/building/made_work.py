"""Work for tests of workers: quick, told by the request what to do, and with an answer that says which demand it is."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Collection, Iterable
from uuid import uuid4

import orjson

from service import __version__
from service.building.work import DemandWork
from service.domain.catalogue import Catalogue
from service.domain.takeoff import Choice, Demand, DemandAnswer, DemandResult, Judged, NewTakeoff, Point
from service.store import Store
from tests.store.takeoff_rows import MOMENT


def plan(
    catalogue: Catalogue, number: int, request: bytes, chosen: Collection[str] | None, recorded: object = ()
) -> DemandResult:
    """Does what the request says: ``sleep`` so many seconds, ``raise``, or ``die``."""
    asked = orjson.loads(request)
    time.sleep(asked.get("sleep", 0))
    if asked.get("raise"):
        raise RuntimeError("this demand cannot be planned")
    if asked.get("die"):
        os.kill(os.getpid(), signal.SIGKILL)
    answer = {"demand": asked["demand"], "chosen": chosen, "closures": sorted(catalogue.closures)}
    return DemandResult(number, True, "dome-24", 6, 2, True, orjson.dumps(answer))


def judge(catalogue: Catalogue, number: int, request: bytes) -> Judged:
    """Every closure at a price that goes by the demand's number."""
    if orjson.loads(request).get("raise"):
        raise RuntimeError("this demand cannot be judged")
    return Judged(number, {"dome-24": f"{number}.00", "dome-48": f"{number + 1}.50"})


def choose(catalogue: Catalogue, most: int, judged: Iterable[Judged]) -> Choice:
    """The first closures of all that were named."""
    names = sorted({code for each in judged for code in each.closures})
    return Choice(tuple(names[:most]), {"most": most, "named": names})


def cannot_choose(catalogue: Catalogue, most: int, judged: Iterable[Judged]) -> Choice:
    """Fails."""
    raise RuntimeError("there is nothing to choose from")


def add_up(planned: Iterable[DemandAnswer]) -> bytes:
    """The demands, each with the splice points that ask for it."""
    points = {str(each.number): each.points for each in planned}
    return orjson.dumps({"totals": points, "materials": []})


MADE = DemandWork(plan, judge, choose, add_up)


def build(store: Store, demands: int, repeats: int = 1, closure_kinds: int | None = None, **every: object) -> str:
    """Start a takeoff whose requests say ``every``, and single ones what ``only={number: {...}}`` says; its id."""
    only: dict[int, dict[str, object]] = every.pop("only", {})  # type: ignore[assignment]
    head = (uuid4().hex, MOMENT, "made", store.catalogue_revision(), __version__)
    new = NewTakeoff(*head, closure_kinds_most=closure_kinds)
    store.takeoffs.begin(new)
    requests = [Demand(n, orjson.dumps({"demand": n, **every, **only.get(n, {})})) for n in range(1, demands + 1)]
    points = [Point(n, n, f"point {n}", demand=(n - 1) % demands + 1) for n in range(1, demands * repeats + 1)]
    for first in range(0, len(points), 500):
        store.takeoffs.add_batch(new.id, points[first : first + 500], requests[first : first + 500])
    store.takeoffs.start(new.id)
    return new.id


def finished(store: Store, takeoff_id: str, within_s: float = 180.0) -> None:
    """Wait until a takeoff has ended."""
    last = time.monotonic() + within_s
    while store.takeoffs.get(takeoff_id).ended is None:
        assert time.monotonic() < last, store.takeoffs.get(takeoff_id)
        time.sleep(0.02)


def insist_on_each_once(store: Store, takeoff_id: str, demands: int, repeats: int = 1) -> None:
    """Every splice point has the answer of its own demand, and the counts say that each was planned once."""
    points = store.takeoffs.points(takeoff_id, limit=demands * repeats + 1, answers=True)
    assert [each.point.place for each in points] == list(range(1, demands * repeats + 1))
    for each in points:
        assert each.answer is not None
        assert orjson.loads(each.answer)["demand"] == each.point.demand
    status = store.takeoffs.get(takeoff_id)
    assert status.state == "finished"
    assert (status.done, status.fitting, status.planned) == (demands * repeats, demands * repeats, demands)
    totals = orjson.loads(store.takeoffs.totals(takeoff_id) or b"{}").get("totals")
    assert totals == {str(number): repeats for number in range(1, demands + 1)}
    assert [each.number for each in store.takeoffs.answers(takeoff_id)] == list(range(1, demands + 1))

"""Adding up a takeoff, once: its workers do it when the last plan is there, and the totals are kept with it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import orjson

from service.building.kept_asks import sum_to
from service.building.totals import Totals
from service.building.totals_document import materials_to, totals_to
from service.documents.asks import asks_from
from service.domain.takeoff import DemandAnswer
from service.planning.orders.summing import SourceSum
from service.store import TakeoffStore


def totals_of(planned: Iterable[DemandAnswer]) -> bytes:
    """The ``totals`` and ``materials`` of a takeoff, and its ``asks`` for orders (see ``kept_asks``), as JSON."""
    totals, asks = Totals(), SourceSum()
    for each in planned:
        plan = orjson.loads(each.answer)
        totals.add(plan, each.points)
        asks.add(asks_from(plan), each.points)
    return orjson.dumps({"totals": totals_to(totals), "materials": materials_to(totals), "asks": sum_to(asks)})


def added_up(takeoffs: TakeoffStore, takeoff_id: str) -> dict[str, Any]:
    """What ``totals_of`` wrote for a finished takeoff; raises ``NotFound``, and ``ValueError`` where it has not ended.

    It is there when a takeoff is finished. One without any demand has nothing to be added up, and one that an earlier
    version finished is added up here, once.
    """
    kept = takeoffs.totals(takeoff_id)
    if kept is None:
        kept = totals_of(takeoffs.answers(takeoff_id))
        takeoffs.keep_totals(takeoff_id, kept)
    document: dict[str, Any] = orjson.loads(kept)
    return document

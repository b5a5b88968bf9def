"""Adding up a finished takeoff, once: the totals are kept with it."""

from __future__ import annotations

from typing import Any

import orjson

from service.building.kept_asks import sum_to
from service.building.totals import Totals
from service.building.totals_document import materials_to, totals_to
from service.documents.asks import asks_from
from service.planning.orders.summing import SourceSum
from service.store import TakeoffStore


def added_up(takeoffs: TakeoffStore, takeoff_id: str) -> dict[str, Any]:
    """The ``totals`` and ``materials`` of a takeoff that has ended, as documents; worked out when first asked for.

    ``asks`` is the same for orders (see ``kept_asks``). Raises ``NotFound``, and ``ValueError`` where it has not ended.
    """
    kept = takeoffs.totals(takeoff_id)
    if kept is None:
        totals, asks = sums_of(takeoffs, takeoff_id)
        kept = orjson.dumps({"totals": totals_to(totals), "materials": materials_to(totals), "asks": sum_to(asks)})
        takeoffs.keep_totals(takeoff_id, kept)
    document: dict[str, Any] = orjson.loads(kept)
    return document


def sums_of(takeoffs: TakeoffStore, takeoff_id: str) -> tuple[Totals, SourceSum]:
    """The sums over all splice points that are planned so far, for people and for orders; raises ``NotFound``."""
    totals, asks = Totals(), SourceSum()
    for planned in takeoffs.answers(takeoff_id):
        plan = orjson.loads(planned.answer)
        totals.add(plan, planned.points)
        asks.add(asks_from(plan), planned.points)
    return totals, asks

"""What a takeoff asks for, kept with its totals."""

from __future__ import annotations

from decimal import Decimal

import orjson

from service.building.adding_up import added_up
from service.building.kept_asks import sum_from, sum_to
from service.documents.asks import asks_from
from service.domain.order import Item
from service.planning.orders.summing import SourceSum
from service.store import Store
from tests.building.planned_takeoffs import planned
from tests.building.test_ordering import FITTING, UNFIT, demo, twice
from tests.order_drafts import SEAL, TIE, ask, sleeves, source

__all__ = ["demo"]


def test_sums_come_back_as_they_were_written() -> None:
    """Exact quantities, rates and confidences, through JSON text."""
    _, summed = source(
        ask(TIE, "0.000001"),
        ask(SEAL, 12, 3),
        ask(Item("sleeve", "rs-12"), 15),
        sleeves("rs-12", [(12, 0.11361512828387083), (3, 0.05)], 4, confidence=0.97),
        points=99_999,
    )
    assert sum_from(orjson.loads(orjson.dumps(sum_to(summed))), "/plans/0") == summed


def test_what_is_kept_is_the_sum_over_all_splice_points(demo: Store) -> None:
    """Added up point by point it is the same; those that do not fit ask for nothing."""
    id = planned(demo, [*twice(FITTING[:4]), *UNFIT])
    one_by_one = SourceSum("/takeoffs/0")
    for result in demo.takeoffs.points(id, limit=500, answers=True):
        one_by_one.add(asks_from(orjson.loads(result.answer or b"")))
    kept = sum_from(added_up(demo.takeoffs, id)["asks"], "/takeoffs/0")
    assert kept == one_by_one
    assert kept == sum_from(added_up(demo.takeoffs, id)["asks"], "/takeoffs/0")
    assert all(total.quantity > Decimal(0) for total in kept.items.values())

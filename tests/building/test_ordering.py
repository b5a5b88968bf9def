"""Orders drafted from stored plans and takeoffs."""

from __future__ import annotations

import uuid
from collections import Counter
from datetime import UTC, datetime
from math import ceil
from typing import Any

import orjson
import pytest

from service.building.order_sources import Unfinished
from service.building.order_tracing import Position, Trace, traced
from service.building.ordering import Making, drafted
from service.documents.plan import plan_to
from service.documents.request import request_from
from service.domain.faults import Refused
from service.domain.order import Item, Order, OrderRequest
from service.planning.plan import plan_splice_point
from service.store import AnyRevision, NewPlan, Store
from tests.building.planned_takeoffs import planned, received
from tests.demo.files import CATALOGUE, POINTS

REQUESTS: list[dict[str, Any]] = [orjson.loads(line) for line in POINTS]
FITTING, UNFIT = REQUESTS[:12], REQUESTS[-2:]


@pytest.fixture
def demo(sqlite_store: Store) -> Store:
    """A store with the demo's catalogue."""
    sqlite_store.put_catalogue(orjson.loads(CATALOGUE), AnyRevision())
    return sqlite_store


def order(store: Store, **asked: Any) -> Order:
    """Make the order that is asked for."""
    making = Making(uuid.uuid4().hex, datetime.now(UTC), "0.1.0")
    made = store.orders.make(drafted(store, OrderRequest(**asked), making))
    assert isinstance(made, Order)
    return made


def stored_plan(store: Store, document: dict[str, Any]) -> str:
    """Plan a request and store the plan; its id."""
    snapshot = store.snapshot()
    plan = plan_splice_point(request_from(document), snapshot)
    optimal = plan.proof.optimal if plan.proof else None
    answer = orjson.dumps(plan_to(plan))
    new = NewPlan(
        uuid.uuid4().hex, datetime.now(UTC), plan.name, plan.closure, plan.fits, plan.splices,
        len(plan.trays) if plan.fits else None, optimal, snapshot.catalogue_revision, "0.1.0",
        orjson.dumps(document), answer,
    )  # fmt: skip
    store.add_plan(new, snapshot, plan.revisions or ())
    return new.id


def twice(documents: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The splice points and as many more that ask for the same under other names."""
    return [*documents, *({**document, "name": f"{document.get('name', '')}, again"} for document in documents)]


def test_a_takeoff_is_ordered_as_its_splice_points_would_be_one_by_one(demo: Store) -> None:
    """Every line of the takeoff's order is that of an order from as many plans, in all figures but the shares."""
    takeoff = order(demo, takeoffs=(planned(demo, twice(FITTING)),))
    plans = order(demo, plans=tuple(stored_plan(demo, document) for document in twice(FITTING)))
    assert [line.quantity for line in takeoff.lines] == [line.quantity for line in plans.lines]
    for one, other in zip(takeoff.lines, plans.lines, strict=True):
        assert sum(share.quantity for share in one.shares) == sum(share.quantity for share in other.shares)
        members = ("kind", "item", "title", "unit", "included", "packs", "price", "currency", "spares")
        assert [getattr(one, member) for member in members] == [getattr(other, member) for member in members]
    assert takeoff.totals == plans.totals
    assert takeoff.sources[0].points == 24


def test_points_that_do_not_fit_or_are_faulty_are_left_out_and_counted(demo: Store) -> None:
    """The order is that of the others, and says how many are missing."""
    with_gaps = order(demo, takeoffs=(planned(demo, [FITTING[0], *UNFIT, {}, FITTING[1]]),))
    whole = order(demo, takeoffs=(planned(demo, FITTING[:2]),))
    source = with_gaps.sources[0]
    assert (source.points, source.unfit, source.faulty) == (2, 2, 1)
    assert [line.quantity for line in with_gaps.lines] == [line.quantity for line in whole.lines]
    assert "2 splice points that do not fit are left out" in with_gaps.notes
    assert "1 splice point that could not be planned is left out" in with_gaps.notes


def test_a_strict_order_leaves_nothing_out(demo: Store) -> None:
    """A takeoff with gaps is refused, one without is ordered."""
    with pytest.raises(Refused) as refusal:
        order(demo, takeoffs=(planned(demo, [FITTING[0], *UNFIT]),), strict=True)
    assert [(fault.pointer, fault.code) for fault in refusal.value.faults] == [("/takeoffs/0", "left_out")]
    assert order(demo, takeoffs=(planned(demo, FITTING[:2]),), strict=True).sources[0].points == 2


def test_a_takeoff_of_which_nothing_fits_is_refused(demo: Store) -> None:
    """There is nothing to order."""
    with pytest.raises(Refused) as refusal:
        order(demo, takeoffs=(planned(demo, UNFIT),))
    assert refusal.value.faults[0].code == "does_not_fit"


def test_a_takeoff_at_work_cannot_be_ordered_yet_and_a_cancelled_one_never(demo: Store) -> None:
    """Half a build would be taken for all of it."""
    id = received(demo, FITTING[:2])
    with pytest.raises(Unfinished, match="running"):
        order(demo, takeoffs=(id,))
    demo.takeoffs.cancel(id)
    with pytest.raises(Refused) as refusal:
        order(demo, takeoffs=(id,))
    assert refusal.value.faults[0].code == "not_finished"


def sources(store: Store, made: Order, code: str, limit: int) -> list[Trace]:
    """All traces of an item, read page by page; in so small an order every page but the last is full."""
    traces: list[Trace] = []
    position: Position | None = Position()
    while position is not None:
        found, position = traced(store, made, code, position, limit)
        assert len(found) == limit or position is None
        traces += found
    return traces


@pytest.mark.parametrize("limit", [1, 3, 5, 100])
def test_every_piece_is_traced_to_its_splice_point(demo: Store, limit: int) -> None:
    """For each item the quantities of plans and splice points add up to the shares, whatever the size of a page."""
    plan = stored_plan(demo, FITTING[3])
    takeoffs = (planned(demo, twice(FITTING[:3])), planned(demo, [*UNFIT, FITTING[1]]))
    made = order(demo, plans=(plan,), takeoffs=takeoffs)
    for line in made.lines:
        found = sources(demo, made, line.item, limit)
        for share in line.shares:
            own = [trace for trace in found if (trace.share.kind, trace.share.id) == (share.kind, share.id)]
            assert sum(trace.share.quantity for trace in own) == share.quantity
            assert sum(trace.share.included for trace in own) == share.included
        places = [trace.place for trace in found if trace.share.id == takeoffs[0]]
        assert places == sorted(set(places))  # type: ignore[type-var]


def test_a_takeoff_that_was_removed_is_told_whole(demo: Store) -> None:
    """Its splice points are gone, its share is not."""
    id = planned(demo, FITTING[:3])
    made = order(demo, takeoffs=(id,))
    demo.orders.move(made.id, "withdrawn", AnyRevision())
    demo.takeoffs.delete(id)
    line = made.lines[0]
    assert sources(demo, made, line.item, 5) == [Trace(Item(line.kind, line.item), line.shares[0], "Ferrow build")]


def test_packs_of_a_whole_build_are_fewer_than_those_of_its_points(demo: Store) -> None:
    """Rounded once, not point by point; and so are the spares."""
    id = planned(demo, twice(FITTING))
    made = order(demo, takeoffs=(id,))
    answers = [orjson.loads(each.answer or b"") for each in demo.takeoffs.points(id, limit=500, answers=True)]
    separate: Counter[str] = Counter()
    for plan in answers:
        for line in plan["materials"]:
            separate[line["material"]] += line["packs"]
    assert all(line.packs <= separate[line.item] for line in made.lines)
    assert sum(line.packs for line in made.lines) < sum(separate.values())
    assert all(line.packs == ceil(line.to_buy / line.pack_of) for line in made.lines)

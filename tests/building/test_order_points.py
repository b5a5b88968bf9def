"""The splice points of an order, as rows of a sheet."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from service.building.order_points import order_points
from service.domain.order import Item
from service.store import AnyRevision, Store
from tests.building.planned_takeoffs import planned
from tests.building.test_ordering import FITTING, UNFIT, demo, order, stored_plan, twice

__all__ = ["demo"]


def test_rows_add_up_to_the_shares_of_the_order(demo: Store) -> None:
    """A row each splice point that fits, in order, under its own name; its quantities are what it asks for."""
    plan = stored_plan(demo, FITTING[3])
    made = order(demo, plans=(plan,), takeoffs=(planned(demo, [*twice(FITTING[:3]), *UNFIT]),))
    points = order_points(demo, made)
    assert points is not None
    rows = list(points)
    names = [document["name"] for document in (FITTING[3], *twice(FITTING[:3]))]
    assert [row.name for row in rows] == names
    assert [row.place for row in rows] == ["1/1", "2/1", "2/2", "2/3", "2/4", "2/5", "2/6"]
    found: Counter[Item] = Counter()
    for row in rows:
        assert row.closure is not None
        found.update(row.quantities)  # type: ignore[arg-type]
    for line in made.lines:
        assert found[Item(line.kind, line.item)] == sum(share.quantity for share in line.shares)


def test_a_row_has_the_place_that_its_takeoff_gives_it(demo: Store) -> None:
    """What does not fit has no row and keeps its place, so that a row leads to the plan at ``plans/{place}``."""
    made = order(demo, takeoffs=(planned(demo, [*UNFIT[:1], FITTING[0], *UNFIT[1:], FITTING[1]]),))
    rows = order_points(demo, made) or ()
    assert [row.place for row in rows] == [2, 2 + len(UNFIT)]


def priced_in(store: Store, closure: str, currency: str) -> None:
    """Let the price of a closure be in another currency."""
    document = dict(store.entry("closures", closure).document)
    store.put_entry("closures", closure, {**document, "currency": currency}, AnyRevision())


def test_prices_are_those_of_each_plan_by_itself(demo: Store) -> None:
    """In the currencies of the order: one that its lines have no more is left out, since it would have no column."""
    closure = str(demo.plan(stored_plan(demo, FITTING[0])).closure)
    price = Decimal(demo.entry("closures", closure).document["price"])
    in_euro = planned(demo, FITTING[:1])
    priced_in(demo, closure, "SEK")
    in_both = planned(demo, FITTING[:1])
    euro, both = order_points(demo, order(demo, takeoffs=(in_euro, in_both))) or ()
    assert euro.prices == {"EUR": both.prices["EUR"] + price}
    assert both.prices["SEK"] == price
    priced_in(demo, closure, "EUR")
    (row,) = order_points(demo, order(demo, takeoffs=(in_both,), again=True)) or ()
    assert set(row.prices) == {"EUR"}


def test_an_order_of_plans_has_no_more_to_say(demo: Store) -> None:
    """Its shares are its splice points already."""
    assert order_points(demo, order(demo, plans=(stored_plan(demo, FITTING[0]),))) is None


def test_an_order_whose_takeoff_is_gone_has_no_points(demo: Store) -> None:
    """The order itself stands."""
    id = planned(demo, FITTING[:2])
    made = order(demo, takeoffs=(id,))
    demo.orders.move(made.id, "withdrawn", AnyRevision())
    demo.takeoffs.delete(id)
    assert order_points(demo, made) is None

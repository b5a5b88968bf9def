"""The demo's build of four hundred splice points, ordered whole."""

from __future__ import annotations

import uuid
from collections import Counter, defaultdict
from collections.abc import Iterator
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import orjson
import pytest
from scipy.stats import nbinom

from service.building.ordering import Making, drafted
from service.building.renaming import own_answer
from service.domain.order import Item, Order, OrderRequest
from service.planning.spares import remakes_within
from service.store import Absent, AnyRevision, Store, open_store
from tests.building.planned_takeoffs import planned
from tests.demo.files import CATALOGUE, DEMO

BUILD = [orjson.loads(line) for line in (DEMO / "build.ndjson").read_bytes().splitlines()]
KINDS = ("closure", "tray", "sleeve", "material")
ENTRIES = {(kind, entry["code"]): entry for kind in KINDS for entry in orjson.loads(CATALOGUE)[f"{kind}s"]}
CONFIDENCE = 0.97
STOCK = {("sleeve", "rs-12"): 500, ("tray", "ribbon-12"): 4, ("material", "alcohol"): 10**6, ("closure", "hub-288"): 1}


@pytest.fixture(scope="module")
def ordered(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Store, str, Order]]:
    """A store with the demo's build in it, planned, and an order of all of it that takes some from stock."""
    folder: Path = tmp_path_factory.mktemp("order")
    store = open_store(f"sqlite:///{folder / 'demo.db'}")
    store.upgrade()
    store.put_catalogue(orjson.loads(CATALOGUE), AnyRevision())
    for (kind, code), on_hand in STOCK.items():
        store.stock.put(Item(kind, code), Decimal(on_hand), Absent())  # type: ignore[arg-type]
    takeoff = planned(store, BUILD)
    making = Making(uuid.uuid4().hex, datetime.now(UTC), "0.1.0")
    made = store.orders.make(drafted(store, OrderRequest(takeoffs=(takeoff,), confidence=CONFIDENCE), making))
    assert isinstance(made, Order)
    yield store, takeoff, made
    store.close()


def plans(store: Store, takeoff: str) -> Iterator[dict[str, Any]]:
    """Every splice point's own plan, as the service answers it."""
    for result in store.takeoffs.points(takeoff, limit=500, answers=True):
        answer = own_answer(result)
        assert answer is not None
        yield orjson.loads(answer)


def test_the_order_equals_an_independent_sum_over_the_plans(ordered: tuple[Store, str, Order]) -> None:
    """Added up here point by point, in whole millionths and cents: every quantity, pack and price, and the total."""
    store, takeoff, order = ordered
    needed: Counter[tuple[str, str]] = Counter()
    included: Counter[tuple[str, str]] = Counter()
    splices: dict[str, Counter[float]] = defaultdict(Counter)
    points = 0
    for plan in plans(store, takeoff):
        points += 1
        for line in plan["materials"]:
            needed[line["kind"], line["material"]] += round(line["quantity"] * 10**6)
            included[line["kind"], line["material"]] += round(line["included"] * 10**6)
        for sleeve in plan["certificate"]["sleeves"]:
            for group in sleeve["rework"]:
                splices[sleeve["sleeve"]][group["rate"]] += group["splices"]
    assert points == len(BUILD) == order.sources[0].points
    for code, groups in splices.items():
        pooled = remakes_within([(count, rate) for rate, count in groups.items()], CONFIDENCE)
        needed["sleeve", code] = (sum(groups.values()) + pooled) * 10**6
    assert {(line.kind, line.item) for line in order.lines} == set(needed)
    cents = 0
    for line in order.lines:
        key = (line.kind, line.item)
        wanted = needed[key] - min(needed[key], included[key])
        held = min(wanted, STOCK.get(key, 0) * 10**6)
        packs = -((held - wanted) // (ENTRIES[key].get("pack_of", 1) * 10**6))
        found = (line.quantity.scaleb(6), line.from_stock.scaleb(6), line.to_buy.scaleb(6), line.packs)
        assert found == (needed[key], held, wanted - held, packs), key
        cents += packs * int(Decimal(ENTRIES[key].get("price", "0")).scaleb(2))
    assert [(total.currency, total.price.scaleb(2)) for total in order.totals] == [("EUR", cents)]


def test_pooled_spares_are_those_of_a_published_distribution(ordered: tuple[Store, str, Order]) -> None:
    """SciPy's negative binomial gives the same spares where a sleeve has one rework rate; fewer than separate ones."""
    sleeves = [line.spares for line in ordered[2].lines if line.spares is not None]
    alike = [spares for spares in sleeves if len(spares.groups) == 1]
    assert alike
    for spares in alike:
        assert spares.pooled == int(nbinom.ppf(CONFIDENCE, spares.splices, 1 - spares.groups[0].rework))
    assert all(spares.pooled < spares.separate for spares in sleeves if spares.splices > 100)


def test_packs_bought_once_cost_less_than_point_by_point(ordered: tuple[Store, str, Order]) -> None:
    """What the plans' own packs come to, each splice point by itself, is what the order saves on."""
    store, takeoff, order = ordered
    separate = sum(Decimal(line.get("price", "0")) for plan in plans(store, takeoff) for line in plan["materials"])
    assert order.totals[0].price < separate

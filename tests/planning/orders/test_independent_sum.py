"""An order against an independent sum over its plans' documents, on drawn plans, stocks and price lists."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from service.documents.asks import asks_from
from service.documents.order import order_to
from service.domain.order import Item, OrderSource
from service.planning.orders.goods import Goods
from service.planning.orders.making import Draft
from service.planning.orders.needs import needs_of
from service.planning.orders.summing import SourceSum
from service.planning.spares import remakes_within
from tests.order_drafts import TIE, ask, draft

CODES = [("material", "a"), ("material", "b"), ("tray", "a"), ("closure", "c"), ("sleeve", "a"), ("sleeve", "s")]
Key = tuple[str, str]

millionths = st.integers(1, 10**10)
line = st.tuples(millionths, st.integers(0, 100))
sleeve = st.tuples(st.integers(1, 300), st.sampled_from([0.0, 0.03, 0.05, 0.11]), st.integers(0, 20))
plan = st.tuples(
    st.dictionaries(st.sampled_from(CODES[:4]), line, min_size=1),
    st.dictionaries(st.sampled_from(CODES[4:]), sleeve),
    st.integers(1, 700),
)
price = st.tuples(st.integers(0, 10**7), st.sampled_from(["EUR", "SEK", None]), st.integers(1, 1000))


def document(lines: dict[Key, tuple[int, int]], sleeves: dict[Key, tuple[int, float, int]]) -> dict[str, Any]:
    """A plan's document, so far as an order reads it."""
    quantities = {key: (count / 10**6, count * share // 100 / 10**6) for key, (count, share) in lines.items()}
    quantities |= {key: (float(splices + spares), 0.0) for key, (splices, _, spares) in sleeves.items()}
    return {
        "fits": True,
        "materials": [
            {"kind": kind, "material": code, "unit": "piece", "quantity": quantity, "included": included}
            for (kind, code), (quantity, included) in quantities.items()
        ],
        "sleeves": [
            {"sleeve": code, "spares": spares, "confidence": 0.95} for (_, code), (_, _, spares) in sleeves.items()
        ],
        "certificate": {
            "sleeves": [
                {"sleeve": code, "rework": [{"splices": splices, "rate": rate}]}
                for (_, code), (splices, rate, _) in sleeves.items()
            ]
        },
    }


@settings(deadline=None)
@given(
    st.lists(plan, min_size=1, max_size=5),
    st.fixed_dictionaries(dict.fromkeys(CODES, price)),
    st.fixed_dictionaries(dict.fromkeys(CODES, st.integers(0, 10**12))),
)
def test_an_order_is_right_to_the_last_piece_and_cent(
    plans: list[Any], prices: dict[Key, tuple[int, str | None, int]], stock: dict[Key, int]
) -> None:
    """Quantities in millionths and money in cents, added up here with whole numbers and nothing of the service's."""
    sources = []
    needed: Counter[Key] = Counter()
    included: Counter[Key] = Counter()
    groups: dict[Key, Counter[float]] = {}
    for number, (lines, sleeves, points) in enumerate(plans):
        summed = SourceSum(f"/takeoffs/{number}")
        summed.add(asks_from(document(lines, sleeves)), points)
        sources.append((OrderSource("takeoff", f"{number:032x}", "", points), summed))
        for key, (count, share) in lines.items():
            needed[key] += count * points
            included[key] += count * share // 100 * points
        for key, (splices, rate, _) in sleeves.items():
            groups.setdefault(key, Counter())[rate] += splices * points
    for key, rates in groups.items():
        pooled = remakes_within([(count, rate) for rate, count in rates.items()], 0.95)
        needed[key] = (sum(rates.values()) + pooled) * 10**6
    goods = {
        Item(*key): Goods("", "piece", pack_of, None if currency is None else Decimal(cents).scaleb(-2), currency)  # type: ignore[arg-type]
        for key, (cents, currency, pack_of) in prices.items()
    }
    available = {Item(*key): Decimal(count).scaleb(-6) for key, count in stock.items()}  # type: ignore[arg-type]
    order = order_to(Draft(draft(ask(TIE, 1)).heading, sources, needs_of(sources, 0.95), goods).settled(available))
    totals: Counter[str] = Counter()
    assert {(each["kind"], each["item"]) for each in order["lines"]} == set(needed)
    for each in order["lines"]:
        key = (each["kind"], each["item"])
        cents, currency, pack_of = prices[key]
        wanted = needed[key] - included[key]
        bought = max(0, wanted - stock[key])
        packs = -(-bought // (pack_of * 10**6))
        assert (round(each["quantity"] * 10**6), round(each["to_buy"] * 10**6)) == (needed[key], bought)
        assert (each["packs"], each["pack_of"], each.get("currency")) == (packs, pack_of, currency)
        if currency is not None:
            assert each["price"] == f"{packs * cents // 100}.{packs * cents % 100:02d}"
            totals[currency] += packs * cents
    told = {total["currency"]: total["price"] for total in order["totals"]}
    assert told == {currency: f"{cents // 100}.{cents % 100:02d}" for currency, cents in totals.items()}

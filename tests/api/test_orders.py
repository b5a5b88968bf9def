"""Orders over HTTP."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from math import ceil
from typing import Any

import pytest

from service.planning.spares import remakes_within
from tests.api.held_client import HeldClient

Document = dict[str, Any]


@pytest.fixture
def plans(filled: HeldClient, handhole: Document, mid_span: Document) -> list[Document]:
    """Three stored plans: a handhole twice, and a mid-span opening."""
    sent = (handhole, {**handhole, "name": "Ferrow Lane, handhole 8"}, mid_span)
    return [filled.post("/v1/plans", json=each).get_json() for each in sent]


def ids(plans: list[Document]) -> list[str]:
    """The plans' ids."""
    return [plan["id"] for plan in plans]


def lines_by_item(order: Document) -> dict[str, Document]:
    """The lines by their items."""
    return {line["item"]: line for line in order["lines"]}


def test_an_order_equals_a_sum_over_its_plans(filled: HeldClient, plans: list[Document], catalogue: Document) -> None:
    """Added up here from the plans' documents: quantities, boxes, packs, prices, totals, to the last piece and cent."""
    order = filled.post("/v1/orders", json={"plans": ids(plans)}).get_json()
    needed: Counter[str] = Counter()
    included: Counter[str] = Counter()
    splices: Counter[str] = Counter()
    for plan in plans:
        for line in plan["materials"]:
            needed[line["material"]] += Decimal(str(line["quantity"]))  # type: ignore[assignment]
            included[line["material"]] += Decimal(str(line["included"]))  # type: ignore[assignment]
        for sleeve in plan["sleeves"]:
            splices[sleeve["sleeve"]] += sleeve["splices"]
    for code, count in splices.items():
        needed[code] = count + remakes_within([(count, 0.05)], 0.95)
    entries = {entry["code"]: entry for section in catalogue.values() for entry in section}
    total = Decimal(0)
    assert set(lines_by_item(order)) == set(needed)
    for code, line in lines_by_item(order).items():
        packs = ceil((Decimal(needed[code]) - included[code]) / entries[code].get("pack_of", 1))
        assert (Decimal(str(line["quantity"])), line["packs"]) == (needed[code], packs), code
        assert Decimal(line["price"]) == packs * Decimal(entries[code]["price"])
        total += Decimal(line["price"])
    assert order["totals"] == [{"price": f"{total:.2f}", "currency": "EUR", "lines": len(needed)}]


def test_both_figures_of_the_spares_are_told(filled: HeldClient, plans: list[Document]) -> None:
    """Pooled over the order, and the plans' own added up."""
    order = filled.post("/v1/orders", json={"plans": ids(plans[:2])}).get_json()
    spares = lines_by_item(order)["rs-12"]["spares"]
    separate = sum(sleeve["spares"] for plan in plans[:2] for sleeve in plan["sleeves"] if sleeve["sleeve"] == "rs-12")
    assert spares["separate"] == separate > spares["pooled"]
    assert spares["pooled"] == remakes_within([(spares["splices"], 0.05)], 0.95)


def test_every_line_says_which_plans_it_comes_from(filled: HeldClient, plans: list[Document]) -> None:
    """Each plan with what it asks for, in the order and at the item's sources."""
    made = filled.post("/v1/orders", json={"plans": ids(plans)})
    order = made.get_json()
    for line in order["lines"]:
        asked = {
            plan["id"]: (each["quantity"], each["included"])
            for plan in plans
            for each in plan["materials"]
            if each["material"] == line["item"]
        }
        assert {share["plan"]: (share["quantity"], share["included"]) for share in line["shares"]} == asked
        sources = filled.get(f"{made.headers['Location']}/items/{line['item']}/sources").get_json()
        assert [each["plan"] for each in sources["items"]] == [id for id in ids(plans) if id in asked]


def test_sources_are_told_page_by_page(filled: HeldClient, plans: list[Document]) -> None:
    """The cursor leads on, and a tampered one is refused."""
    order = filled.post("/v1/orders", json={"plans": ids(plans)}).get_json()
    path: str | None = f"/v1/orders/{order['id']}/items/dome-48/sources?limit=1"
    found = []
    while path is not None:
        page = filled.get(path)
        found += [each["plan"] for each in page.get_json()["items"]]
        path = page.headers.get("Link", "<>").partition("<")[2].partition(">")[0] or None
    assert found == ids(plans)
    assert filled.get(f"/v1/orders/{order['id']}/items/dome-48/sources?cursor=AAAA").status_code == 400
    assert filled.get(f"/v1/orders/{order['id']}/items/absent/sources").status_code == 404


def test_an_order_takes_from_stock_first(filled: HeldClient, plans: list[Document]) -> None:
    """What it takes is held from then on, and bought no more."""
    filled.put("/v1/stock/rs-12", json={"on_hand": 40}, headers={"If-None-Match": "*"})
    filled.put("/v1/stock/oval-seal", json={"on_hand": 500}, headers={"If-None-Match": "*"})
    lines = lines_by_item(filled.post("/v1/orders", json={"plans": ids(plans)}).get_json())
    assert lines["rs-12"]["from_stock"] == 40
    assert (lines["oval-seal"]["to_buy"], lines["oval-seal"]["packs"], lines["oval-seal"]["price"]) == (0, 0, "0.00")
    assert filled.get("/v1/stock/rs-12").get_json()["held"] == 40


def test_an_order_goes_through_its_states(filled: HeldClient, plans: list[Document]) -> None:
    """Received goods go to stock; issuing takes out what the plans need and leaves the surplus."""
    made = filled.post("/v1/orders", json={"plans": ids(plans)})
    path, etag = made.headers["Location"], made.headers["ETag"]
    sleeve = lines_by_item(made.get_json())["rs-12"]
    needed, came = sleeve["to_buy"], sleeve["packs"] * sleeve["pack_of"]
    levels = []
    for state in ("placed", "received", "issued"):
        moved = filled.put(f"{path}/state", json={"state": state}, headers={"If-Match": etag})
        assert (moved.status_code, moved.get_json()["state"]) == (200, state)
        etag = moved.headers["ETag"]
        level = filled.get("/v1/stock/rs-12")
        levels.append((level.get_json()["on_hand"], level.get_json()["held"]) if level.status_code == 200 else None)
    assert levels == [None, (came, needed), (came - needed, 0)]
    order = filled.get(path)
    assert order.headers["ETag"] == etag
    assert list(order.get_json()["moments"]) == ["draft", "placed", "received", "issued"]
    assert filled.get(f"{path}/state").get_json()["next"] == []


def test_an_order_that_came_short_says_so(filled: HeldClient, plans: list[Document]) -> None:
    """The packs that did come are in stock and in the order; what cannot be short is refused, at its place."""
    path = filled.post("/v1/orders", json={"plans": ids(plans)}).headers["Location"]
    any_tag = {"If-Match": "*"}
    short = [{"kind": "sleeve", "item": "rs-12", "packs": 1}]
    early = filled.put(f"{path}/state", json={"state": "placed", "short": short}, headers=any_tag)
    assert (early.status_code, early.get_json()["errors"][0]["pointer"]) == (422, "/short")
    filled.put(f"{path}/state", json={"state": "placed"}, headers=any_tag)
    wrong = filled.put(
        f"{path}/state", json={"state": "received", "short": [{**short[0], "packs": 900}]}, headers=any_tag
    )
    assert (wrong.status_code, wrong.get_json()["errors"][0]["pointer"]) == (422, "/short/0/packs")
    filled.put(f"{path}/state", json={"state": "received", "short": short}, headers=any_tag)
    sleeve = lines_by_item(filled.get(path).get_json())["rs-12"]
    assert sleeve["received"] == 1 < sleeve["packs"]
    level = filled.get("/v1/stock/rs-12").get_json()
    assert (level["on_hand"], level["held"]) == (sleeve["pack_of"], sleeve["pack_of"])


def test_a_plan_is_not_ordered_twice(filled: HeldClient, plans: list[Document]) -> None:
    """409 names the order and points at the plan; with again, or once the order is withdrawn, it goes."""
    first = filled.post("/v1/orders", json={"plans": ids(plans[:1])}).get_json()
    body = {"plans": ids(plans)}
    refused = filled.post("/v1/orders", json=body)
    problem = refused.get_json()
    assert (refused.status_code, problem["type"]) == (409, "/problems/ordered-already")
    assert first["id"] in problem["detail"]
    assert [(each["pointer"], first["id"] in each["detail"]) for each in problem["errors"]] == [("/plans/0", True)]
    assert filled.post("/v1/orders", json={**body, "again": True}).status_code == 201
    assert filled.post("/v1/orders", json={"plans": ids(plans[1:])}).status_code == 409


def test_a_withdrawn_order_lets_its_plans_be_ordered_anew(filled: HeldClient, plans: list[Document]) -> None:
    """And so does a draft that was removed."""
    body = {"plans": ids(plans)}
    first = filled.post("/v1/orders", json=body).headers["Location"]
    filled.put(f"{first}/state", json={"state": "withdrawn"}, headers={"If-Match": '"1"'})
    second = filled.post("/v1/orders", json=body).headers["Location"]
    assert filled.delete(second, headers={"If-Match": '"1"'}).status_code == 204
    assert filled.post("/v1/orders", json=body).status_code == 201


def test_what_cannot_be_ordered_is_pointed_at(filled: HeldClient, plans: list[Document], handhole: Document) -> None:
    """Plans that are not there or do not fit, all of them told, and nothing is stored."""
    big = {**handhole, "rules": {**handhole.get("rules", {}), "reserve": {"percent": 500, "in": "trays"}}}
    unfit = filled.post("/v1/plans", json=big).get_json()
    assert unfit["fits"] is False
    refused = filled.post("/v1/orders", json={"plans": ["0" * 32, plans[0]["id"], unfit["id"]], "takeoffs": ["1" * 32]})
    found = [(each["pointer"], each["code"]) for each in refused.get_json()["errors"]]
    assert refused.status_code == 422
    assert found == [("/plans/0", "unknown_plan"), ("/plans/2", "does_not_fit"), ("/takeoffs/0", "unknown_takeoff")]
    assert filled.get("/v1/orders").get_json()["items"] == []


def test_an_order_of_nothing_is_refused(filled: HeldClient) -> None:
    """There must be something to add up."""
    refused = filled.post("/v1/orders", json={})
    assert (refused.status_code, refused.get_json()["errors"][0]["code"]) == (422, "empty")


def test_prices_are_those_of_the_catalogue_when_it_is_ordered(
    filled: HeldClient, plans: list[Document], catalogue: Document
) -> None:
    """A price that rose after planning counts; one that rises after ordering does not."""
    entry = next(each for each in catalogue["sleeves"] if each["code"] == "rs-12")
    filled.put("/v1/sleeves/rs-12", json={**entry, "price": "99.90", "pack_of": 10}, headers={"If-Match": "*"})
    made = filled.post("/v1/orders", json={"plans": ids(plans)})
    line = lines_by_item(made.get_json())["rs-12"]
    assert (line["pack_of"], line["pack_price"]) == (10, "99.90")
    filled.put("/v1/sleeves/rs-12", json={**entry, "price": "1.00"}, headers={"If-Match": "*"})
    assert filled.get(made.headers["Location"]).data == made.data
    assert made.get_json()["catalogue_revision"] == 2


def test_a_retired_item_is_ordered_and_told(filled: HeldClient, plans: list[Document]) -> None:
    """The plan needs it; the purchaser must ask for it."""
    filled.delete("/v1/sleeves/rs-12", headers={"If-Match": "*"})
    order = filled.post("/v1/orders", json={"plans": ids(plans)}).get_json()
    assert lines_by_item(order)["rs-12"]["retired"] is True
    assert any("rs-12 is retired" in note for note in order["notes"])


def test_an_order_outlasts_its_plans(filled: HeldClient, plans: list[Document]) -> None:
    """A plan that is removed is still accounted for, and still counts as ordered."""
    made = filled.post("/v1/orders", json={"plans": ids(plans)})
    filled.delete(f"/v1/plans/{plans[0]['id']}", headers={"If-Match": "*"})
    assert filled.get(made.headers["Location"]).data == made.data
    sources = filled.get(f"{made.headers['Location']}/items/dome-48/sources").get_json()["items"]
    assert sources[0]["plan"] == plans[0]["id"]


def test_orders_are_listed_by_state_and_name(filled: HeldClient, plans: list[Document]) -> None:
    """Newest first, page by page."""
    for number, plan in enumerate(plans):
        filled.post("/v1/orders", json={"plans": [plan["id"]], "name": f"Lot {number}"})
    first = filled.get("/v1/orders?limit=2")
    assert [each["name"] for each in first.get_json()["items"]] == ["Lot 2", "Lot 1"]
    second = filled.get(first.headers["Link"].partition("<")[2].partition(">")[0]).get_json()
    assert [each["name"] for each in second["items"]] == ["Lot 0"]
    assert [each["name"] for each in filled.get("/v1/orders?name=lot%201").get_json()["items"]] == ["Lot 1"]
    assert filled.get("/v1/orders?state=placed").get_json()["items"] == []
    assert filled.get("/v1/orders?state=lost").status_code == 400


def test_an_order_that_the_caller_has_is_not_sent_again(filled: HeldClient, plans: list[Document]) -> None:
    """304 until its state changes."""
    path = filled.post("/v1/orders", json={"plans": ids(plans)}).headers["Location"]
    etag = filled.get(path).headers["ETag"]
    assert filled.get(path, headers={"If-None-Match": etag}).status_code == 304
    filled.put(f"{path}/state", json={"state": "placed"}, headers={"If-Match": etag})
    assert filled.get(path, headers={"If-None-Match": etag}).status_code == 200
    assert filled.put(f"{path}/state", json={"state": "received"}, headers={"If-Match": etag}).status_code == 412


def test_the_same_key_gives_the_same_answer(filled: HeldClient, plans: list[Document]) -> None:
    """Even after the order has gone on; another body under the key is refused."""
    key = {"Idempotency-Key": "lot-1"}
    first = filled.post("/v1/orders", json={"plans": ids(plans)}, headers=key)
    filled.put(f"{first.headers['Location']}/state", json={"state": "placed"}, headers={"If-Match": "*"})
    again = filled.post("/v1/orders", json={"plans": ids(plans)}, headers=key)
    assert (again.status_code, again.data, again.headers["ETag"]) == (201, first.data, first.headers["ETag"])
    assert again.headers["Idempotent-Replayed"] == "true"
    other = filled.post("/v1/orders", json={"plans": ids(plans[:1])}, headers=key)
    assert (other.status_code, other.get_json()["type"]) == (422, "/problems/key-reused")


def test_a_key_whose_order_was_removed_says_so(filled: HeldClient, plans: list[Document]) -> None:
    """It is not made again behind the caller's back."""
    key = {"Idempotency-Key": "lot-1"}
    path = filled.post("/v1/orders", json={"plans": ids(plans)}, headers=key).headers["Location"]
    filled.delete(path, headers={"If-Match": "*"})
    assert filled.post("/v1/orders", json={"plans": ids(plans)}, headers=key).status_code == 404


def test_a_key_of_a_plan_is_not_one_of_an_order(filled: HeldClient, plans: list[Document], handhole: Document) -> None:
    """Keys are of all requests that store."""
    key = {"Idempotency-Key": "k"}
    filled.post("/v1/plans", json=handhole, headers=key)
    assert filled.post("/v1/orders", json={"plans": ids(plans)}, headers=key).status_code == 422

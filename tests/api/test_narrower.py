"""Limits of lists, numbers and ranges that the operator sets narrower than the description."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from service.api.narrower import RANGES
from service.api.spec import Spec
from service.app import create_app
from service.settings import Settings
from service.store import Store
from tests.api.held_client import HeldClient
from tests.api.sent_takeoffs import lines
from tests.contract.test_description_rules import inputs


def client_of(store: Store, catalogue: dict[str, Any], settings: Settings) -> HeldClient:
    """A client of an application with these settings; the catalogue was there before them."""
    for chosen in (Settings(), settings):
        app = create_app(chosen, store)
        app.test_client_class = HeldClient
        client: HeldClient = app.test_client()
        if chosen == Settings():
            client.put("/v1/catalogue", json=catalogue, headers={"If-None-Match": "*"})
    return client


def faults(answer: Any) -> list[tuple[str, str]]:
    """The places and codes of a refusal."""
    assert answer.status_code == 422, answer.get_data(as_text=True)
    return [(error["pointer"], error["code"]) for error in answer.get_json()["errors"]]


CASES = [
    (Settings(list_limit=2), Settings(list_limit=3), [("/cables", "items")]),
    (
        Settings(number_limit=899),
        Settings(number_limit=900),
        [("/rules/reach_mm", "range"), ("/site/length_mm", "range")],
    ),
    (
        Settings(range_limit=21),
        Settings(range_limit=22),
        [("/joints/0/from/ribbons", "range"), ("/joints/0/to/ribbons", "range")],
    ),
]


@pytest.mark.parametrize(("narrow", "wide", "expected"), CASES, ids=["lists", "numbers", "ranges"])
@pytest.mark.parametrize("path", ["/v1/plans?store=false", "/v1/fit-checks"])
def test_what_is_beyond_a_limit_is_refused_with_its_place(
    store: Store, catalogue: Any, handhole: Any, narrow: Settings, wide: Settings, expected: Any, path: str
) -> None:
    """Every one of them is named; what is at the limit passes."""
    assert faults(client_of(store, catalogue, narrow).post(path, json=handhole)) == expected
    assert client_of(store, catalogue, wide).post(path, json=handhole).status_code == 200


@pytest.mark.parametrize(("narrow", "wide", "expected"), CASES, ids=["lists", "numbers", "ranges"])
def test_a_line_of_a_takeoff_has_the_same_limits(
    store: Store, catalogue: Any, handhole: Any, narrow: Settings, wide: Settings, expected: Any
) -> None:
    """As a fault of that splice point alone, so that the others are planned."""
    client, small = client_of(store, catalogue, narrow), deepcopy(handhole)
    small["cables"], small["joints"] = small["cables"][:2], [deepcopy(small["joints"][0])]
    for side in ("from", "to"):
        small["joints"][0][side]["ribbons"] = "1-12"
    del small["rules"], small["site"]
    sent = client.post("/v1/takeoffs", data=lines([handhole, small]), content_type="application/x-ndjson")
    assert sent.status_code == 202
    (faulty,) = client.get(f"{sent.headers['Location']}/faults").get_json()["items"]
    assert faulty["line"] == 1
    assert [(each["pointer"], each["code"]) for each in faulty["faults"]] == expected


def test_a_wider_limit_than_described_has_no_effect(store: Store, catalogue: Any, handhole: Any) -> None:
    """The description is asked first."""
    handhole["crew"]["technicians"] = 101
    client = client_of(store, catalogue, Settings(list_limit=2**31, number_limit=2**31, range_limit=2**31))
    assert faults(client.post("/v1/plans", json=handhole)) == [("/crew/technicians", "range")]


def test_every_range_that_can_be_sent_is_looked_at(spec: Spec) -> None:
    """The members that are held to the limit of ranges are those that the description says are ranges."""
    found = set()
    for name in inputs(spec):
        for member, node in spec.document["components"]["schemas"][name].get("properties", {}).items():
            if str(node.get("$ref", "")).endswith("RangeText"):
                found.add(member)
    assert found == set(RANGES)

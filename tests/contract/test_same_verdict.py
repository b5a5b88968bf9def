"""The published schema and the explaining one give the same verdict on every body."""

from __future__ import annotations

import random
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, seed, settings
from schemathesis import GenerationMode

from service.api.explaining import explained, own_errors
from service.api.schemas import SCHEMAS
from service.api.spec import load_spec
from service.api.strict_json import LARGEST_WHOLE
from tests.contract.bodies import ODD, faulty, fullest

SPEC = load_spec()
DESCRIPTION = schemathesis.openapi.from_dict(SPEC.document)
SENT = {
    "PlanRequest": ("/v1/plans", "POST"),
    "TakeoffRequest": ("/v1/takeoffs", "POST"),
    "Closure": ("/v1/closures/{code}", "PUT"),
    "Tray": ("/v1/trays/{code}", "PUT"),
    "Sleeve": ("/v1/sleeves/{code}", "PUT"),
    "Cable": ("/v1/cables/{code}", "PUT"),
    "Method": ("/v1/methods/{code}", "PUT"),
    "Material": ("/v1/materials/{code}", "PUT"),
    "Catalogue": ("/v1/catalogue", "PUT"),
    "OrderRequest": ("/v1/orders", "POST"),
    "OrderStateChange": ("/v1/orders/{id}/state", "PUT"),
    "StockLevel": ("/v1/stock/{code}", "PUT"),
    "HangingRequest": ("/v1/installations", "POST"),
    "InstallationPlace": ("/v1/installations/{id}", "PUT"),
    "AdditionRequest": ("/v1/installations/{id}/additions", "POST"),
    "VisitRequest": ("/v1/installations/{id}/visits", "POST"),
    "SpliceRecordsRequest": ("/v1/installations/{id}/splice-records", "POST"),
    "RemovalRequest": ("/v1/installations/{id}/removals", "POST"),
    "AbandonmentRequest": ("/v1/installations/{id}/abandonments", "POST"),
    "TokenRequest": ("/v1/tokens", "POST"),
    "WebhookRequest": ("/v1/webhooks", "POST"),
}

LINE = "SplicePoint"
"""A line of a takeoff that is sent as lines: a body of its own, which no operation of the description has."""


def whole_schema(name: str) -> dict[str, Any]:
    """The reference to a named schema."""
    return {"$ref": f"#/components/schemas/{name}"}


def readable(value: Any) -> bool:
    """Whether strict reading of a body could give this value: JSON, no lone surrogates, no number out of range."""
    if value is not None and not isinstance(value, str | int | float | list | dict):
        return False
    if isinstance(value, str):
        return value.encode("utf-8", "replace").decode() == value
    if isinstance(value, list):
        return all(readable(each) for each in value)
    if isinstance(value, dict):
        return all(readable(name) and readable(each) for name, each in value.items())
    return not isinstance(value, int) or abs(value) <= LARGEST_WHOLE


def agree(name: str, body: Any) -> bool:
    """Assert that both give one verdict on a body; returns it."""
    verdict = SPEC.validator(name).is_valid(body)
    faults = explained(name, body)
    assert verdict == (not faults), (body, faults, own_errors(SPEC.validator(name), body))
    return verdict


def test_every_body_that_is_sent_is_compared() -> None:
    """The bodies that operations take, the explaining schemas, and the table of these tests are the same."""
    taken = {
        media["schema"]["$ref"].rpartition("/")[2]
        for operation in SPEC.operations.values()
        for kind, media in operation.node.get("requestBody", {}).get("content", {}).items()
        # Files have readers of their own, and so has a map: tests/building/test_map_reading.py compares its verdicts.
        if kind == "application/json"
    }
    assert taken == set(SCHEMAS) - {LINE} == set(SENT)


@pytest.mark.parametrize("name", [*SENT, LINE])
def test_the_fullest_body_is_valid_by_both(name: str) -> None:
    """A body with every optional member passes, so neither schema lacks a member of the other."""
    assert agree(name, fullest(SPEC, whole_schema(name)))


@pytest.mark.parametrize("name", [*SENT, LINE])
def test_every_odd_value_in_every_place_gets_one_verdict(name: str) -> None:
    """Every member of the fullest body in turn has every odd value, at the first level and one below."""
    body = fullest(SPEC, whole_schema(name))
    for member in body:
        for odd in ODD:
            agree(name, {**body, member: odd})
            if isinstance(body[member], list):
                agree(name, {**body, member: [odd]})


@pytest.mark.parametrize("name", [*SENT, LINE])
def test_changed_bodies_get_one_verdict(name: str) -> None:
    """Fifteen hundred bodies with changes at random places, seeded; both verdicts occur among them."""
    chance = random.Random(f"verdict {name}")
    body = fullest(SPEC, whole_schema(name))
    verdicts = [agree(name, faulty(body, chance)) for _ in range(1500)]
    assert 20 < sum(verdicts) < 1480


@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE])
@pytest.mark.parametrize("name", SENT)
def test_generated_bodies_get_one_verdict(name: str, mode: GenerationMode) -> None:
    """Bodies that Schemathesis draws from the description, good ones and bad ones."""
    path, method = SENT[name]
    strategy = DESCRIPTION[path][method].as_strategy(generation_mode=mode)
    drawn: list[bool] = []

    @seed(7)
    @settings(max_examples=25, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(case=strategy)
    def compare(case: Any) -> None:
        if readable(case.body):
            drawn.append(agree(name, case.body))

    compare()
    assert any(drawn) if mode is GenerationMode.POSITIVE else drawn

"""Whoever calls by the description of the last release still can."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest
import yaml

from service.api.spec import load_spec
from tests.contract.compatibility import bare, breaks, released

Document = dict[str, Any]
OLD: Document = yaml.load(released().read_bytes(), Loader=yaml.CSafeLoader)


def schema(document: Document, name: str) -> Document:
    """One of the named schemas."""
    found: Document = document["components"]["schemas"][name]
    return found


def test_nothing_is_removed_or_narrowed_since_the_last_release() -> None:
    """No operation, status, header, member or value that a client of the last release counts on is missing or other."""
    assert breaks(OLD, load_spec().document) == []


def test_words_and_examples_break_nothing() -> None:
    """A description without what is for people alone is the same to a client."""
    assert breaks(load_spec().document, bare(load_spec().document)) == []


BREAKING: dict[str, tuple[Callable[[Document], Any], str]] = {
    "an operation goes": (lambda new: new["paths"]["/v1/plans"].pop("post"), "POST /v1/plans: is gone"),
    "an operation gets another name": (
        lambda new: new["paths"]["/v1/plans"]["post"].update(operationId="makePlan"),
        "POST /v1/plans: operationId is another",
    ),
    "another scope is asked for": (
        lambda new: new["paths"]["/v1/plans"]["get"].update(security=[{"token": ["admin"]}]),
        "GET /v1/plans: security is another",
    ),
    "a status goes": (
        lambda new: new["paths"]["/v1/plans"]["post"]["responses"].pop("201"),
        "POST /v1/plans 201: is gone",
    ),
    "a parameter goes": (
        lambda new: new["paths"]["/v1/plans"]["post"]["parameters"].pop(0),
        "POST /v1/plans: parameter store is gone",
    ),
    "a parameter is asked for": (
        lambda new: new["components"]["parameters"]["IdempotencyKey"].update(required=True),
        "POST /v1/plans: parameter Idempotency-Key is asked for",
    ),
    "a member that is sent goes": (
        lambda new: schema(new, "Rules")["properties"].pop("reach_mm"),
        "Rules: reach_mm is gone",
    ),
    "a member is asked for": (
        lambda new: schema(new, "PlanRequest")["required"].append("name"),
        "PlanRequest: name is asked for",
    ),
    "less may be sent": (
        lambda new: schema(new, "PlanRequest")["properties"]["joints"].update(maxItems=10),
        "PlanRequest/joints: maxItems does not agree",
    ),
    "a choice goes": (
        lambda new: schema(new, "Rules")["properties"]["keep"]["enum"].remove("none"),
        "Rules/keep: values do not agree",
    ),
    "a member of the answer goes": (
        lambda new: schema(new, "Proof")["properties"].pop("pieces"),
        "Proof (answered): pieces is gone",
    ),
    "a member of the answer may be missing": (
        lambda new: schema(new, "Proof")["required"].remove("optimal"),
        "Proof (answered): optimal is not always there",
    ),
    "an answer has a value that nobody knows": (
        lambda new: schema(new, "OrderState")["enum"].append("lost"),
        "OrderState (answered): values do not agree",
    ),
    "a header goes": (
        lambda new: new["paths"]["/v1/plans"]["post"]["responses"]["201"]["headers"].pop("ETag"),
        "POST /v1/plans 201: header ETag is gone",
    ),
}


@pytest.mark.parametrize("name", BREAKING)
def test_what_would_break_a_client_is_found(name: str) -> None:
    """The comparison is no rubber stamp: each kind of break is seen, at its place."""
    change, told = BREAKING[name]
    new = deepcopy(OLD)
    change(new)
    assert told in breaks(OLD, new)


def test_what_is_added_breaks_nobody() -> None:
    """A new operation, a member that may be left out, a larger bound, a member more in an answer."""
    new = deepcopy(OLD)
    new["paths"]["/v1/reels"] = new["paths"]["/v1/plans"]
    schema(new, "Rules")["properties"]["colour"] = {"type": "string"}
    schema(new, "PlanRequest")["properties"]["joints"]["maxItems"] = 5000
    schema(new, "Proof")["required"].append("colour")
    schema(new, "Proof")["properties"]["colour"] = {"type": "string"}
    assert breaks(OLD, new) == []

"""Why a body was refused: pointers, codes, sentences; and which verdict counts."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask

from service.api import bodies
from service.api.explaining import explained
from service.api.schemas import SCHEMAS
from tests.api.held_client import HeldClient


def places(name: str, document: Any) -> list[str]:
    """The pointers of all faults, in order."""
    return sorted(fault.pointer for fault in explained(name, document))


def test_pointers_escape_what_a_pointer_must() -> None:
    """RFC 6901: a tilde is ~0, a slash ~1; an empty name is a trailing slash."""
    assert places("PlanRequest", {"a/b~c": 1, "": 1}) == ["/", "/a~1b~0c", "/cables", "/joints"]


def test_a_member_called_schema_is_a_member() -> None:
    """The explaining library keeps its own errors under such a name; the two are told apart."""
    assert "/_schema" in places("PlanRequest", {"_schema": 1})


def test_names_of_a_map_are_judged_as_well_as_values() -> None:
    """A slot kind that cannot be, and a number of slots that cannot be, are both at the slot kind."""
    tray = {"code": "t", "title": "t", "pitch_mm": 1, "turn_mm": 1, "bend_radius_mm": 1}
    faults = explained("Tray", {**tray, "banks": [{"count": 1, "slots": {"-": 0, "single": 6}}]})
    assert [(fault.pointer, fault.code) for fault in faults] == [
        ("/banks/0/slots/-", "pattern"),
        ("/banks/0/slots/-", "range"),
    ]


@pytest.mark.parametrize("document", [None, [], "text", 1, True])
def test_a_body_that_is_no_object_is_told_at_the_root(document: Any) -> None:
    """One fault, at the pointer of the whole body."""
    assert [(fault.pointer, fault.code) for fault in explained("PlanRequest", document)] == [("", "type")]


def test_a_pointer_that_would_be_endless_ends_before(filled: HeldClient, handhole: dict[str, Any]) -> None:
    """A name of a hundred thousand characters does not come back in the answer."""
    response = filled.post("/v1/plans", json={**handhole, "a" * 100_000: 1})
    assert response.status_code == 422
    assert len(response.data) < 2000


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_fault_has_a_word_and_a_sentence(name: str) -> None:
    """No message of the library's own comes through: each has a code of ours and ends as a sentence."""
    schema = SCHEMAS[name]()
    odd = {field.data_key or key: None for key, field in schema.fields.items()}
    for document in (
        {"colour": 1},
        odd,
        dict.fromkeys(odd, 10**9),
        {name: [1] for name in odd},
        {name: {} for name in odd},
    ):
        for fault in explained(name, document):
            assert fault.code != "invalid", fault
            assert fault.detail.endswith("."), fault


def test_where_both_differ_the_published_schema_counts(
    app: Flask, filled: HeldClient, handhole: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """An explanation that finds nothing does not let a body through; its own errors are told, and it is counted."""
    monkeypatch.setattr(bodies, "explained", lambda name, document: [])
    handhole["rules"]["remakes"] = -1
    response = filled.post("/v1/plans", json=handhole)
    assert response.status_code == 422
    assert [error["pointer"] for error in response.get_json()["errors"]] == ["/rules/remakes"]
    metrics = filled.get("/metrics").get_data(as_text=True)
    assert 'traywright_verdict_disagreements_total{schema="PlanRequest"} 1.0' in metrics

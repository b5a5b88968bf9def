"""What ``openapi.yaml`` owes to those who make clients of it: links from what was made, names, known problems."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest

from service.api.problem_kinds import KINDS
from service.api.spec import Operation, load_spec
from tests.contract.test_description_rules import schemas

SPEC = load_spec()
OPERATIONS = {operation.id: operation for operation in SPEC.operations.values()}
STORING = [each for each in OPERATIONS.values() if each.method == "post" and each.id != "checkFit"]


def answers(operation: Operation) -> Iterator[dict[str, Any]]:
    """The answers of an operation by which something was made or changed."""
    statuses = operation.node["responses"]
    made = [status for status in ("201", "202") if status in statuses] or ["200"]
    yield from (dict(SPEC.resolved(statuses[status])) for status in made)


def required(schema: dict[str, Any]) -> set[str]:
    """The members that are always there, those of the parts of ``allOf`` among them."""
    node = SPEC.resolved(schema)
    return set(node.get("required", ())).union(*(required(part) for part in node.get("allOf", ())))


@pytest.mark.parametrize("operation", [pytest.param(each, id=each.id) for each in STORING])
def test_what_was_made_links_to_what_can_be_done_with_it(operation: Operation) -> None:
    """Each link names an operation and all of its places, filled from what the answer always has or the path had."""
    own = {f"$request.path.{each.name}" for each in operation.parameters if each.where == "path"}
    for answer in answers(operation):
        assert answer["links"]
        (media,) = answer["content"].values()
        for link in (SPEC.resolved(each) for each in answer["links"].values()):
            target = OPERATIONS[link["operationId"]]
            places = {each.name for each in target.parameters if each.where == "path"}
            assert set(link["parameters"]) == places and link["description"]
            for expression in set(link["parameters"].values()) - own:
                member = expression.removeprefix("$response.body#/")
                assert member != expression and member in required(media["schema"]), expression


def test_parameters_are_snake_case_and_headers_are_as_headers_are() -> None:
    """Names in paths and queries are lower-case words with underscores, header names begin each word with a capital."""
    forms = {"path": r"[a-z]+(_[a-z]+)*", "query": r"[a-z]+(_[a-z]+)*", "header": r"[A-Z][A-Za-z]*(-[A-Z][A-Za-z]*)*"}
    for operation in OPERATIONS.values():
        for each in operation.parameters:
            assert re.fullmatch(forms[each.where], each.name), f"{operation.id} {each.name}"


def test_schemas_are_named_and_not_written_into_paths() -> None:
    """Generators name classes after schemas, so that bodies are references; only parameters may be spelled out."""
    for operation in OPERATIONS.values():
        for node in [*operation.node["responses"].values(), operation.node.get("requestBody", {})]:
            for media in SPEC.resolved(node).get("content", {}).values():
                assert list(media["schema"]) == ["$ref"], operation.id
    assert list(schemas(dict(SPEC.document["paths"]))) == []


def problems(node: Any) -> Iterator[dict[str, Any]]:
    """Every example of a problem document."""
    for example in node.values():
        value = example.get("value")
        if isinstance(value, dict) and str(value.get("type", "")).startswith("/problems/"):
            yield value


def test_the_problems_shown_are_problems_that_there_are() -> None:
    """Each example of a problem has a kind that has a page, and that kind's title and status."""
    shown = list(problems(SPEC.document["components"]["examples"]))
    assert len(shown) > 15
    for value in shown:
        kind = KINDS[value["type"].removeprefix("/problems/")]
        assert (value["title"], value["status"]) == (kind.title, kind.status)


# These can come from any operation or from the server before one is found, so that none of them describes them.
ANYWHERE = {"bad-request", "method-not-allowed", "length-required", "too-slow", "full", "cancelled"}


def test_every_problem_that_an_operation_has_of_its_own_is_shown() -> None:
    """Whoever handles errors by their kind finds an example of each in the description."""
    shown = {value["type"].removeprefix("/problems/") for value in problems(SPEC.document["components"]["examples"])}
    assert set(KINDS) - shown == ANYWHERE

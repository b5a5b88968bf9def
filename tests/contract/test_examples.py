"""The description's examples are right, and those that can be made by the service are what it makes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import orjson
import pytest

from service.api.spec import load_spec
from tests.contract.made_examples import made_examples

SPEC = load_spec()


def uses(node: Any) -> Iterator[tuple[str, dict[str, Any], Any]]:
    """Every media type or parameter that has examples: the example's name, the schema, the value."""
    if isinstance(node, list):
        for each in node:
            yield from uses(each)
    elif isinstance(node, dict):
        if "schema" in node:
            if "example" in node:
                yield node.get("name", ""), node["schema"], node["example"]
            for name, example in node.get("examples", {}).items():
                yield name, node["schema"], SPEC.resolved(example)["value"]
        for each in node.values():
            yield from uses(each)


USES = [*uses(SPEC.document["paths"]), *uses(SPEC.document["components"])]


@pytest.mark.parametrize(
    ("name", "schema", "value"), [pytest.param(*each, id=f"{i}-{each[0]}") for i, each in enumerate(USES)]
)
def test_an_example_is_valid_by_its_schema(name: str, schema: dict[str, Any], value: Any) -> None:
    """The validator of the whole description accepts wrong examples; this one does not."""
    errors = list(SPEC.compiled(schema).iter_errors(value))
    assert [(error.instance_path, error.message) for error in errors] == []


def test_every_body_has_an_example() -> None:
    """Every JSON body, sent or answered, has at least one named example."""
    for operation in SPEC.operations.values():
        for response in [*operation.node["responses"].values(), operation.node.get("requestBody", {})]:
            for media_type, media in SPEC.resolved(response).get("content", {}).items():
                assert media.get("examples"), f"{operation.id} {media_type}"


@pytest.mark.parametrize("name", made_examples(SPEC.document))
def test_a_made_example_is_what_the_service_makes(name: str) -> None:
    """The plans and fit checks shown are those of the requests and the catalogue shown, byte for byte."""
    shown = SPEC.document["components"]["examples"][name]["value"]
    made = made_examples(SPEC.document)[name]["value"]
    assert orjson.dumps(shown, option=orjson.OPT_INDENT_2) == orjson.dumps(made, option=orjson.OPT_INDENT_2)

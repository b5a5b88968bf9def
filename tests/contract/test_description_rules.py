"""The house rules that ``openapi.yaml`` keeps."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
import yaml
from openapi_spec_validator import OpenAPIV31SpecValidator

from service.api.spec import Operation, Spec, load_spec

SPEC = load_spec()
OPERATIONS = [pytest.param(operation, id=operation.id) for operation in SPEC.operations.values()]
LARGEST_WHOLE = 2**53 - 1
ADMINISTERED = ("/v1/tokens", "/v1/audit", "/v1/webhooks")
"""What an administrator alone may even read."""


def schemas(node: Any, place: str = "#") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every schema of the description with its place, examples left out."""
    if isinstance(node, list):
        for index, each in enumerate(node):
            yield from schemas(each, f"{place}/{index}")
    elif isinstance(node, dict):
        if ("type" in node and not isinstance(node["type"], dict)) or "enum" in node:
            yield place, node
        for name, each in node.items():
            if name not in ("examples", "example", "default", "enum"):
                yield from schemas(each, f"{place}/{name}")


SCHEMAS = [
    *schemas(SPEC.document["components"]["schemas"], "#/components/schemas"),
    *schemas(SPEC.document["components"]["parameters"], "#/components/parameters"),
    *schemas(SPEC.document["components"]["headers"], "#/components/headers"),
]


def inputs(spec: Spec) -> set[str]:
    """The names of the schemas that callers send, with all that they refer to."""
    found: set[str] = set()
    waiting = [
        media["schema"]
        for operation in spec.operations.values()
        for kind, media in operation.node.get("requestBody", {}).get("content", {}).items()
        if kind.endswith("json") and not kind.endswith("-ndjson")
    ]
    while waiting:
        node = waiting.pop()
        if isinstance(node, list):
            waiting += node
        elif isinstance(node, dict):
            name = str(node.get("$ref", "")).removeprefix("#/components/schemas/")
            if name and name not in found:
                found.add(name)
                waiting.append(spec.document["components"]["schemas"][name])
            waiting += [each for each in node.values() if isinstance(each, dict | list)]
    return found


def test_the_description_is_valid_openapi_3_1() -> None:
    """An independent validator finds nothing wrong, and the version is 3.1."""
    assert SPEC.document["openapi"].startswith("3.1.")
    assert [error.message for error in OpenAPIV31SpecValidator(SPEC.document).iter_errors()] == []


def test_no_name_stands_twice_in_one_mapping() -> None:
    """YAML readers keep the last of two silently, and what refers to the first then means another thing."""

    def names(node: yaml.Node) -> Iterator[str]:
        if isinstance(node, yaml.MappingNode):
            keys = [key.value for key, _ in node.value]
            yield from (f"line {node.start_mark.line + 1}: {key}" for key in keys if keys.count(key) > 1)
        children = node.value if isinstance(node, yaml.SequenceNode | yaml.MappingNode) else ()
        for child in children:
            for each in child if isinstance(child, tuple) else (child,):
                yield from names(each)

    assert list(names(yaml.compose(SPEC.source, Loader=yaml.CSafeLoader))) == []


def test_operation_ids_are_unique_and_camel_case() -> None:
    """Client generators name their functions by them."""
    ids = [operation.id for operation in SPEC.operations.values()]
    assert len(ids) == len(set(ids))
    assert all(re.fullmatch(r"[a-z][A-Za-z]+", each) for each in ids)


@pytest.mark.parametrize("operation", OPERATIONS)
def test_an_operation_says_what_it_does(operation: Operation) -> None:
    """One tag that is declared, a summary and a description."""
    declared = {tag["name"] for tag in SPEC.document["tags"]}
    assert len(operation.node["tags"]) == 1
    assert set(operation.node["tags"]) <= declared
    assert operation.node["summary"].strip()
    assert len(operation.node["description"]) > len(operation.node["summary"])


def test_every_tag_is_used() -> None:
    """No tag is declared for nothing."""
    used = {tag for operation in SPEC.operations.values() for tag in operation.node["tags"]}
    used |= {tag for told in SPEC.document["webhooks"].values() for tag in told["post"]["tags"]}
    assert used == {tag["name"] for tag in SPEC.document["tags"]}


def test_paths_are_kebab_case_without_a_trailing_slash() -> None:
    """A path is made of lower-case words with dashes, and of places."""
    word = r"\.?[a-z0-9]+(?:-[a-z0-9]+)*(?:\.(?:json|yaml|ndjson|geojson|csv|xlsx|pdf|svg))?"
    for path in SPEC.document["paths"]:
        assert re.fullmatch(rf"(?:/(?:{word}|\{{[a-z]+\}}))+", path), path


def test_members_are_snake_case() -> None:
    """Members of bodies are lower-case words with underscores; the link set's names are those of its standard."""
    for name, schema in SPEC.document["components"]["schemas"].items():
        for member in schema.get("properties", {}):
            assert re.fullmatch(r"[a-z][a-z0-9]*(?:_[a-z0-9]+)*", member), f"{name}.{member}"


@pytest.mark.parametrize("operation", OPERATIONS)
def test_errors_are_problem_documents_alone(operation: Operation) -> None:
    """Every 4xx and 5xx and the default, which is always there, answer application/problem+json and nothing else."""
    assert "default" in operation.node["responses"]
    for status, response in operation.node["responses"].items():
        if status == "default" or status[0] in "45":
            assert list(SPEC.resolved(response)["content"]) == ["application/problem+json"], status


@pytest.mark.parametrize("operation", [each for each in OPERATIONS if each.values[0].method in ("put", "delete")])
def test_a_change_takes_preconditions(operation: Operation) -> None:
    """PUT and DELETE take If-Match and describe 412 and 428."""
    assert "If-Match" in {parameter.name for parameter in operation.parameters}
    assert {"412", "428"} <= set(operation.node["responses"])


@pytest.mark.parametrize("operation", OPERATIONS)
def test_what_was_made_says_where_it_is(operation: Operation) -> None:
    """201 and 202 carry a required Location."""
    for status in {"201", "202"} & set(operation.node["responses"]):
        headers = SPEC.resolved(operation.node["responses"][status])["headers"]
        assert SPEC.resolved(headers["Location"])["required"]


@pytest.mark.parametrize("operation", OPERATIONS)
def test_a_single_resource_has_an_entity_tag(operation: Operation) -> None:
    """A path that ends in a place, and the catalogue, answer 200 to GET with an ETag, and 304 without a body."""
    single = operation.path.endswith(("{code}", "{id}", "/catalogue", "/openapi.yaml", "/openapi.json"))
    if operation.method == "get" and single:
        headers = SPEC.resolved(operation.node["responses"]["200"])["headers"]
        assert SPEC.resolved(headers["ETag"])["required"]
        assert "content" not in SPEC.resolved(operation.node["responses"]["304"])


@pytest.mark.parametrize("operation", OPERATIONS)
def test_top_level_bodies_are_objects(operation: Operation) -> None:
    """JSON bodies, sent or answered, are objects, so that members can be added."""
    contents = [SPEC.resolved(each).get("content", {}) for each in operation.node["responses"].values()]
    contents.append(operation.node.get("requestBody", {}).get("content", {}))
    for content in contents:
        for media_type, media in content.items():
            if media_type.endswith("json") and not media_type.endswith("-ndjson"):
                schema = SPEC.resolved(media["schema"])
                schema = SPEC.resolved(schema["allOf"][0]) if "allOf" in schema else schema
                assert schema["type"] == "object", media_type


@pytest.mark.parametrize(("place", "schema"), [pytest.param(*each, id=each[0]) for each in SCHEMAS])
def test_what_can_grow_is_bounded(place: str, schema: dict[str, Any]) -> None:
    """Arrays have maxItems, text maxLength or an enum, whole numbers both bounds within what readers keep exactly."""
    kind = schema.get("type")
    if kind == "array":
        assert "maxItems" in schema
    if kind == "string":
        assert "maxLength" in schema or "enum" in schema
    if kind == "integer":
        assert -LARGEST_WHOLE <= schema["minimum"] <= schema["maximum"] <= LARGEST_WHOLE
    if kind == "number":
        assert {"minimum", "exclusiveMinimum"} & set(schema)
        assert "maximum" in schema


def test_inputs_are_closed() -> None:
    """Every object that callers send refuses members that are not described, or says what its values are."""
    sent = inputs(SPEC)
    assert {"PlanRequest", "Side", "Rules", "Closure", "Bank", "SplicePointFeature"} <= sent
    for name in sent:
        schema = SPEC.document["components"]["schemas"][name]
        if schema.get("type") == "object":
            closed = schema["additionalProperties"] is False
            assert closed or isinstance(schema["additionalProperties"], dict), name


def test_maps_in_inputs_are_bounded() -> None:
    """An object with names of the caller's choice says what names, what values, and how many of them."""
    for name in inputs(SPEC):
        for place, schema in schemas(SPEC.document["components"]["schemas"][name], name):
            if schema.get("type") == "object" and isinstance(schema.get("additionalProperties"), dict):
                assert {"propertyNames", "maxProperties"} <= set(schema), place


@pytest.mark.parametrize("operation", [each for each in OPERATIONS if each.values[0].id.startswith("list")])
def test_a_list_has_pages(operation: Operation) -> None:
    """A list takes limit and cursor, answers items and next, and carries a Link."""
    assert {"limit", "cursor"} <= operation.query_names
    answer = SPEC.resolved(operation.node["responses"]["200"])
    assert "Link" in answer["headers"]
    assert set(SPEC.resolved(answer["content"]["application/json"]["schema"])["required"]) == {"items", "next"}


@pytest.mark.parametrize("operation", OPERATIONS)
def test_every_operation_says_what_scope_it_needs(operation: Operation) -> None:
    """Each says it itself, as a list: none is needed only by the service about itself, and reading never needs more."""
    security = operation.node["security"]
    if operation.node["tags"] == ["service"]:
        assert security == [] or operation.path == "/metrics"
        return
    assert security == [{"token": [operation.scope]}]
    if operation.method == "get":
        assert operation.scope == ("admin" if operation.path.startswith(ADMINISTERED) else "read")
    else:
        assert operation.scope not in ("read", None)


def test_an_operation_that_said_nothing_would_need_an_administrator() -> None:
    """The description's own requirement, which stands for those that are forgotten, is the narrowest."""
    assert SPEC.document["security"] == [{"token": ["admin"]}]


@pytest.mark.parametrize("operation", [each for each in OPERATIONS if each.values[0].scope])
def test_what_needs_a_scope_says_how_it_is_refused(operation: Operation) -> None:
    """401, 403 and 429 are described, the first two with a challenge."""
    for status, header in (("401", "WWW-Authenticate"), ("403", "WWW-Authenticate"), ("429", "Retry-After")):
        assert header in SPEC.resolved(operation.node["responses"][status])["headers"]


def test_everything_is_described() -> None:
    """Every named schema, parameter, header and answer has a description."""
    for kind in ("schemas", "parameters", "headers", "responses"):
        for name, node in SPEC.document["components"][kind].items():
            assert node.get("description") or (kind == "schemas" and name.endswith("List")), f"{kind}/{name}"


def test_nothing_is_described_for_nothing() -> None:
    """Every component is referred to from somewhere."""
    text = SPEC.source.decode()
    for kind, components in SPEC.document["components"].items():
        if kind == "securitySchemes":
            continue
        for name in components:
            assert f"'#/components/{kind}/{name}'" in text, f"{kind}/{name}"

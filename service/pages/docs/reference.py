"""The reference: every operation, schema and example of ``openapi.yaml``, each at an address of its own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from html import escape
from http import HTTPStatus
from typing import Any

import orjson
from flask import Response
from markupsafe import Markup
from werkzeug.exceptions import NotFound

from service.api.problem_kinds import KINDS
from service.api.spec import Node, Operation, Spec
from service.api.state import state
from service.pages.blueprint import routes
from service.pages.docs.described import Told, is_simple, members, told
from service.pages.rendering import page


@dataclass(frozen=True, slots=True)
class Content:
    """A body in one media type: its schema, and the names of its examples that have pages."""

    media_type: str
    schema: Told
    examples: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer of an operation. ``after`` are operations that go on from it, by id."""

    status: str
    text: str
    contents: tuple[Content, ...]
    headers: tuple[str, ...]
    after: tuple[str, ...]


@routes.get("/docs")
def read_reference() -> Response:
    """All operations by what they are about."""
    spec = state().spec
    about = {tag["name"]: (tag["description"], list[Operation]()) for tag in spec.document["tags"]}
    for operation in spec.operations.values():
        about[operation.node["tags"][0]][1].append(operation)
    return page("docs/reference.html", info=spec.document["info"], about=about)


@routes.get("/docs/operations/<id>")
def read_operation(id: str) -> Response:
    """One operation: what it takes and what it answers."""
    spec = state().spec
    operation = next((each for each in spec.operations.values() if each.id == id), None)
    if operation is None:
        raise NotFound
    parameters = [spec.resolved(each) for each in operation.node.get("parameters", ())]
    return page(
        "docs/operation.html",
        operation=operation,
        parameters=[(each, told(spec, each["schema"])) for each in parameters],
        sent=_contents(spec, operation.node.get("requestBody", {})),
        answers=list(_answers(spec, operation)),
    )


@routes.get("/docs/schemas")
def list_schemas() -> Response:
    """The schemas that have pages."""
    schemas = state().spec.document["components"]["schemas"]
    names = sorted(name for name in schemas if not is_simple(state().spec, name))
    return page("docs/schemas.html", schemas=[(name, schemas[name].get("description", "")) for name in names])


@routes.get("/docs/schemas/<name>")
def read_schema(name: str) -> Response:
    """One schema: its members, or the alternatives that it is one of."""
    spec = state().spec
    node = spec.document["components"]["schemas"].get(name)
    if node is None or is_simple(spec, name):
        raise NotFound
    return page("docs/schema.html", name=name, told=told(spec, node), members=members(spec, node))


@routes.get("/docs/examples/<name>")
def read_example(name: str) -> Response:
    """One example, as it is sent or answered."""
    node = state().spec.document["components"]["examples"].get(name)
    if node is None:
        raise NotFound
    value = node["value"]
    shown = value if isinstance(value, str) else orjson.dumps(value, option=orjson.OPT_INDENT_2).decode()
    # Quotes stay as they are: written out they would make a plan a third longer.
    return page("docs/example.html", name=name, summary=node["summary"], shown=Markup(escape(shown, quote=False)))


@routes.get("/docs/problems")
def list_problems() -> Response:
    """The kinds of problems, each with what to do about it."""
    return page("docs/problems.html", kinds=sorted(KINDS.values(), key=lambda kind: kind.status))


def _answers(spec: Spec, operation: Operation) -> Iterator[Answer]:
    for status, each in operation.node["responses"].items():
        node = spec.resolved(each)
        said = f"{status} {HTTPStatus(int(status)).phrase}" if status.isdigit() else "Any other"
        after = tuple(spec.resolved(link)["operationId"] for link in node.get("links", {}).values())
        yield Answer(said, node["description"], _contents(spec, node), tuple(node.get("headers", ())), after)


def _contents(spec: Spec, node: Node) -> tuple[Content, ...]:
    return tuple(
        Content(media_type, told(spec, media["schema"]), _examples(media))
        for media_type, media in node.get("content", {}).items()
    )


def _examples(media: Mapping[str, Any]) -> tuple[str, ...]:
    referred = (str(each.get("$ref", "")) for each in media.get("examples", {}).values())
    return tuple(each.removeprefix("#/components/examples/") for each in referred if each)

"""The reference: every operation, webhook, schema and example of ``openapi.yaml``, each at an address of its own."""

from __future__ import annotations

from html import escape

import orjson
from flask import Response
from markupsafe import Markup
from werkzeug.exceptions import NotFound

from service.api.problem_kinds import KINDS
from service.api.spec import Node, Operation
from service.api.state import state
from service.pages.blueprint import routes
from service.pages.docs.bodies import answers, contents
from service.pages.docs.described import is_simple, members, told
from service.pages.rendering import page


@routes.get("/docs")
def read_reference() -> Response:
    """All operations by what they are about, and what webhooks are told."""
    spec = state().spec
    about = {tag["name"]: (tag["description"], list[Operation]()) for tag in spec.document["tags"]}
    for operation in spec.operations.values():
        about[operation.node["tags"][0]][1].append(operation)
    return page("docs/reference.html", info=spec.document["info"], about=about, webhooks=_webhooks())


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
        sent=contents(spec, operation.node.get("requestBody", {})),
        answers=list(answers(spec, operation.node)),
    )


@routes.get("/docs/webhooks/<name>")
def read_webhook(name: str) -> Response:
    """What a webhook is told of one kind of event, and what it may answer."""
    spec, node = state().spec, _webhooks().get(name)
    if node is None:
        raise NotFound
    headers = [spec.resolved(each) for each in node["parameters"]]
    return page(
        "docs/webhook.html",
        node=node,
        headers=[(each, told(spec, each["schema"])) for each in headers],
        sent=contents(spec, node["requestBody"]),
        answers=list(answers(spec, node)),
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


def _webhooks() -> dict[str, Node]:
    return {name: item["post"] for name, item in state().spec.document["webhooks"].items()}

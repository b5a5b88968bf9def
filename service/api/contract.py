"""Whether an answer is one that the published description promises: status, headers, media type, body."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import jsonschema_rs
import orjson
from flask import Response

from service.api.spec import Node, Operation, Spec

_BODILESS = (204, 304)


@dataclass(frozen=True, slots=True)
class _PromisedHeader:
    name: str
    required: bool
    whole: bool
    validator: jsonschema_rs.Validator

    def violation(self, response: Response) -> str | None:
        text = response.headers.get(self.name)
        if text is None:
            return f"the header {self.name} is missing" if self.required else None
        value = int(text) if self.whole and text.isdigit() else text
        return None if self.validator.is_valid(value) else f"the header {self.name} has the value {text!r}"


@dataclass(frozen=True, slots=True)
class _Promise:
    headers: tuple[_PromisedHeader, ...]
    bodies: Mapping[str, jsonschema_rs.Validator]


class Contract:
    """The answers that the description promises; validators are compiled when first needed."""

    def __init__(self, spec: Spec) -> None:
        self._spec = spec
        self._promises: dict[tuple[str, int], _Promise | None] = {}

    def violations(self, operation: Operation, response: Response, head: bool = False) -> Iterator[str]:
        """In what the answer differs from the description; ``head``: the body is left out."""
        status = response.status_code
        promise = self._promise(operation, status)
        if promise is None:
            yield f"{operation.id} {status}: the status is not described"
            return
        for header in promise.headers:
            violation = header.violation(response)
            if violation:
                yield f"{operation.id} {status}: {violation}"
        if status not in _BODILESS and not head:
            for violation in _of_body(promise, response):
                yield f"{operation.id} {status}: {violation}"

    def _promise(self, operation: Operation, status: int) -> _Promise | None:
        key = (operation.id, status)
        if key not in self._promises:
            responses = operation.node["responses"]
            node = responses.get(str(status)) or (responses["default"] if status >= 400 else None)
            self._promises[key] = None if node is None else self._compiled(self._spec.resolved(node))
        return self._promises[key]

    def _compiled(self, node: Node) -> _Promise:
        headers = tuple(
            self._header(name, self._spec.resolved(header)) for name, header in node.get("headers", {}).items()
        )
        bodies = {kind: self._spec.compiled(media["schema"]) for kind, media in node.get("content", {}).items()}
        return _Promise(headers, bodies)

    def _header(self, name: str, node: Node) -> _PromisedHeader:
        schema = node["schema"]
        whole = schema.get("type") == "integer"
        return _PromisedHeader(name, node.get("required", False), whole, self._spec.compiled(schema))


def _of_body(promise: _Promise, response: Response) -> Iterator[str]:
    kind = response.mimetype or ""
    validator = promise.bodies.get(kind)
    if validator is None:
        yield f"the media type {kind} is not described"
    elif kind.endswith("-ndjson"):
        # What a line is, no schema of OpenAPI 3.1 can say: it is described in words.
        if not validator.is_valid(response.get_data(as_text=True)):
            yield "the lines are not as described"
    elif kind.endswith("json"):
        document = orjson.loads(response.get_data())
        if not validator.is_valid(document):
            for error in validator.iter_errors(document):
                yield f"body at /{'/'.join(map(str, error.instance_path))}: {error.message}"

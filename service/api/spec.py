"""The published description, ``openapi.yaml``, as the code uses it: operations, parameters, compiled validators."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import Any

import jsonschema_rs
import orjson
import yaml

from service.domain.access import SCOPES, Scope

Node = Mapping[str, Any]
_METHODS = ("get", "put", "post", "delete", "patch")


@dataclass(frozen=True, slots=True)
class Parameter:
    """A parameter of an operation. ``where`` is path, query or header; ``kind`` the JSON type of its value."""

    name: str
    where: str
    required: bool
    kind: str
    schema: Node
    validator: jsonschema_rs.Validator

    @property
    def default(self) -> Any:
        """The value where the parameter is left out."""
        return self.schema.get("default")


@dataclass(frozen=True, eq=False)
class Operation:
    """One method of one path.

    ``scope`` is what a caller's token has to allow, None where anybody may; ``open_nearby``: on the machine of the
    server anybody may all the same.
    """

    id: str
    path: str
    method: str
    node: Node
    parameters: tuple[Parameter, ...]
    media_types: tuple[str, ...]
    scope: Scope | None
    open_nearby: bool = False

    @cached_property
    def query_names(self) -> frozenset[str]:
        """The names of its query parameters."""
        return frozenset(each.name for each in self.parameters if each.where == "query")


class Spec:
    """The description. ``source`` is the file as it lies there; ``document`` is what it says."""

    def __init__(self, source: bytes) -> None:
        self.source = source
        self.document: dict[str, Any] = yaml.load(source, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
        self.etag = hashlib.sha256(source).hexdigest()[:32]
        self.version: str = self.document["info"]["version"]
        self._validators: dict[str, jsonschema_rs.Validator] = {}
        self._compiled: dict[bytes, jsonschema_rs.Validator] = {}
        self.operations: dict[tuple[str, str], Operation] = {
            (path, method): self._operation(path, method, item[method])
            for path, item in self.document["paths"].items()
            for method in _METHODS
            if method in item
        }

    @cached_property
    def json(self) -> bytes:
        """The description written as JSON."""
        return orjson.dumps(self.document, option=orjson.OPT_INDENT_2)

    def resolved(self, node: Node) -> Node:
        """The node itself, or the one that its ``$ref`` names; what stands beside the reference has precedence."""
        while "$ref" in node:
            target: Any = self.document
            for part in node["$ref"].removeprefix("#/").split("/"):
                target = target[part.replace("~1", "/").replace("~0", "~")]
            node = {**target, **{name: value for name, value in node.items() if name != "$ref"}}
        return node

    def validator(self, schema: str) -> jsonschema_rs.Validator:
        """The compiled validator of one of the named schemas."""
        if schema not in self._validators:
            self._validators[schema] = self.compiled({"$ref": f"#/components/schemas/{schema}"})
        return self._validators[schema]

    def compiled(self, node: Node) -> jsonschema_rs.Validator:
        """A validator of any schema of the description, compiled once; formats are checked."""
        key = orjson.dumps(node, option=orjson.OPT_SORT_KEYS)
        if key not in self._compiled:
            schema = {"allOf": [node], "components": {"schemas": self.document["components"]["schemas"]}}
            self._compiled[key] = jsonschema_rs.Draft202012Validator(schema, validate_formats=True)
        return self._compiled[key]

    def _operation(self, path: str, method: str, node: Node) -> Operation:
        parameters = tuple(self._parameter(self.resolved(each)) for each in node.get("parameters", ()))
        kinds: dict[str, None] = {}
        for status, response in node["responses"].items():
            if status.startswith("2"):
                kinds.update(dict.fromkeys(self.resolved(response).get("content", ())))
        scope, open_nearby = _needed(node.get("security", self.document["security"]))
        return Operation(node["operationId"], path, method, node, parameters, tuple(kinds), scope, open_nearby)

    def _parameter(self, node: Node) -> Parameter:
        schema = self.resolved(node["schema"])
        return Parameter(
            name=node["name"],
            where=node["in"],
            required=node.get("required", False),
            kind=schema.get("type", "string"),
            schema=schema,
            validator=self.compiled(node["schema"]),
        )


def _needed(security: Sequence[Node]) -> tuple[Scope | None, bool]:
    """The scope that a list of security requirements asks for, and whether one of them asks for nothing.

    Raises ``ValueError`` for a requirement that does not name exactly one scope of the one scheme.
    """
    asked = [requirement for requirement in security if requirement]
    if not asked:
        return None, False
    scopes = [scope for requirement in asked for scope in requirement["token"]]
    if len(scopes) != 1 or scopes[0] not in SCOPES:
        raise ValueError(f"a security requirement names one scope, not {scopes}")
    return scopes[0], len(asked) < len(security)


@cache
def load_spec(path: Path | None = None) -> Spec:
    """Read the description from a file, once; None: from inside the package, or beside it in the source tree."""
    package = Path(__file__).resolve().parents[1]
    places = (path,) if path else (package / "openapi.yaml", package.parent / "openapi.yaml")
    for place in places:
        if place.is_file():
            return Spec(place.read_bytes())
    raise FileNotFoundError(f"openapi.yaml is not at {' or '.join(str(place) for place in places)}")

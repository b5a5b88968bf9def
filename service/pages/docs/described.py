"""Schemas of the description in words: what kind of value, within which bounds, and where the schema has a page."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from service.api.spec import Spec

_SCHEMAS = "#/components/schemas/"
_BOUNDS = (
    ("minimum", "at least {}"),
    ("exclusiveMinimum", "more than {}"),
    ("maximum", "at most {}"),
    ("exclusiveMaximum", "less than {}"),
    ("minLength", "{} characters or more"),
    ("maxLength", "{} characters at most"),
    ("minItems", "{} or more"),
    ("maxItems", "{} at most"),
    ("maxProperties", "{} members at most"),
    ("pattern", "matches {}"),
    ("format", "{}"),
    ("const", "always {}"),
)
_MANY = 10**6
"""Bounds of so much and more only keep numbers within what readers can hold; they would tell people nothing."""


@dataclass(frozen=True, slots=True)
class Told:
    """A value in words. ``schemas`` are the names of the schemas with pages that it refers to; ``text`` Markdown."""

    kind: str
    bounds: tuple[str, ...]
    schemas: tuple[str, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Member:
    """A member of an object, and whether it is always there."""

    name: str
    required: bool
    told: Told


def is_simple(spec: Spec, name: str) -> bool:
    """Whether a named schema is a word or a number, which is told where it is used and needs no page."""
    node = spec.document["components"]["schemas"][name]
    return not ({"properties", "allOf", "oneOf", "anyOf", "items"} & set(node))


def told(spec: Spec, node: Mapping[str, Any]) -> Told:
    """A schema in words."""
    name = str(node.get("$ref", "")).removeprefix(_SCHEMAS)
    whole = spec.resolved(node)
    if name and not is_simple(spec, name):
        return Told(_kind(spec, whole), (), (name,), str(whole.get("description", "")))
    nested = tuple(dict.fromkeys(_referred(spec, whole)))
    return Told(_kind(spec, whole), tuple(_bounds(whole)), nested, str(whole.get("description", "")))


def members(spec: Spec, node: Mapping[str, Any]) -> list[Member]:
    """The members of an object, those of the parts of ``allOf`` among them, the ones that are always there first."""
    found: dict[str, Mapping[str, Any]] = {}
    required: set[str] = set()
    waiting = [node]
    while waiting:
        whole = spec.resolved(waiting.pop(0))
        found.update(whole.get("properties", {}))
        required.update(whole.get("required", ()))
        waiting += whole.get("allOf", ())
    listed = [Member(name, name in required, told(spec, each)) for name, each in found.items()]
    return sorted(listed, key=lambda member: not member.required)


def _kind(spec: Spec, node: Mapping[str, Any]) -> str:
    node = spec.resolved(node)
    kind = node.get("type")
    if "enum" in node:
        return "one of " + ", ".join(f"`{value}`" for value in node["enum"])
    if isinstance(kind, list):
        return " or ".join(kind)
    if kind is None and (others := node.get("oneOf") or node.get("anyOf")):
        return " or ".join(dict.fromkeys(_kind(spec, each) for each in others))
    return {"array": "list", "integer": "whole number", "string": "text"}.get(str(kind), str(kind or "object"))


def _bounds(node: Mapping[str, Any]) -> Iterator[str]:
    for word, sentence in _BOUNDS:
        value = node.get(word)
        if value is not None and not (isinstance(value, int | float) and abs(value) >= _MANY):
            yield sentence.format(f"`{value}`")
    if "default" in node:
        yield f"`{str(node['default']).lower()}` where it is left out"


def _referred(spec: Spec, node: Any) -> Iterator[str]:
    """The names of the schemas with pages that a node refers to, not through others."""
    if isinstance(node, list):
        for each in node:
            yield from _referred(spec, each)
    elif isinstance(node, Mapping):
        name = str(node.get("$ref", "")).removeprefix(_SCHEMAS)
        if name and not is_simple(spec, name):
            yield name
        for word in ("items", "additionalProperties", "oneOf", "anyOf"):
            yield from _referred(spec, node.get(word, ()))

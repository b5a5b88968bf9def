"""The tables of the catalogue and of splice points, made from the published description of their documents.

So a member that is added there has its column at once, and what a column is for is said in one place. What is no table
by its nature is left out: the trays and cables that hang already.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from service.domain.catalogue import KINDS
from service.sheets.tabular.shape import Column, Grouped, Path, Sheet, Table, Value

Node = Mapping[str, Any]
SCHEMAS = dict(zip(KINDS, ("Sleeve", "Tray", "Closure", "Cable", "Method", "Material"), strict=True))
"""The schema of each section's entries."""

POINTS = "points"
LEFT_OUT = frozenset({"revision", "existing_trays", "hanging"})
"""Members that have no column: what the store says, and what hangs already."""

_PAIRS = {"slots": ("slot_kind", "slots")}
"""The headings for the name and the value of a mapping in the items of a list."""


class Described:
    """The tables that an OpenAPI description gives."""

    def __init__(self, description: Node) -> None:
        self._schemas: Node = description["components"]["schemas"]

    def catalogue(self) -> dict[str, Table]:
        """The table of each section."""
        return {kind: self._table(kind, SCHEMAS[kind], "code") for kind in KINDS}

    def points(self) -> Table:
        """The table of splice points, which are told apart by their names."""
        return self._table(POINTS, "SplicePoint", "name")

    def _table(self, kind: str, schema: str, key: str) -> Table:
        node = self._schemas[schema]
        own: list[Column] = []
        lists: list[Sheet] = []
        for name, member in _members(node):
            if name == key:
                continue
            resolved = self._resolved(member)
            if resolved.get("type") == "array" and self._resolved(resolved["items"]).get("type") == "object":
                lists.append(self._list(kind, name, self._resolved(resolved["items"])))
            else:
                own += self._columns(name, (name,), member, name in node.get("required", ()))
        told = self._column(key, (key,), node["properties"][key], True)
        needed = frozenset(sheet.member for sheet in lists if sheet.member in node.get("required", ()) and sheet.member)
        return Table(kind, told, Sheet(kind, tuple(own)), tuple(lists), needed)

    def _list(self, kind: str, member: str, item: Node) -> Sheet:
        columns: list[Column] = []
        grouped = None
        for name, each in _members(item):
            needed = name in item.get("required", ())
            if name in _PAIRS:
                grouped = self._grouped(member, name, self._resolved(each))
            else:
                columns += self._columns(f"{member}.{name}", (name,), each, needed)
        return Sheet(f"{kind}.{member}", tuple(columns), member, grouped)

    def _grouped(self, member: str, name: str, mapping: Node) -> Grouped:
        key, value = _PAIRS[name]
        singular = member.removesuffix("s")
        told = f"Rows with the same number are one {singular}."
        return Grouped(
            Column(f"{member}.{singular}", (), "whole", told=told, needed=True),
            name,
            self._column(f"{member}.{key}", (), mapping["propertyNames"], True),
            self._column(f"{member}.{value}", (), mapping["additionalProperties"], True),
        )

    def _columns(self, heading: str, path: Path, node: Node, needed: bool) -> Iterator[Column]:
        resolved = self._resolved(node)
        if resolved.get("type") != "object":
            yield self._column(heading, path, node, needed)
        elif "properties" in resolved:
            for name, each in _members(resolved):
                inner = needed and name in resolved.get("required", ())
                yield from self._columns(f"{heading}.{name}", (*path, name), each, inner)
        else:
            value = self._column(heading, path, resolved["additionalProperties"], False)
            yield Column(heading, path, value.value, value.choices, _told(resolved, False), names=True)

    def _column(self, heading: str, path: Path, node: Node, needed: bool) -> Column:
        resolved = self._resolved(node)
        told = _told(resolved, needed) if path[-1:] != ("price",) else "A price with up to two decimals, as 12.50."
        ways = [self._resolved(each) for each in resolved.get("oneOf", ())]
        if ways:
            ways = [way for way in ways if way.get("type") != "null"]
            if len(ways) > 1:
                return Column(heading, path, "number_or_text", (), told, needed)
            resolved = ways[0]
        choices = tuple(resolved.get("enum", ()))
        return Column(heading, path, _value_of(resolved, path), choices, told, needed)

    def _resolved(self, node: Node) -> Node:
        while "$ref" in node:
            beside = {name: value for name, value in node.items() if name != "$ref"}
            node = {**self._schemas[node["$ref"].rpartition("/")[2]], **beside}
        return node


def _members(node: Node) -> Iterator[tuple[str, Node]]:
    return ((name, each) for name, each in node["properties"].items() if name not in LEFT_OUT)


def _value_of(node: Node, path: Path) -> Value:
    if path[-1:] == ("price",):
        return "money"
    if "enum" in node:
        return "choice"
    kinds: dict[str, Value] = {"integer": "whole", "number": "number", "boolean": "yes_no", "array": "list"}
    return kinds.get(node.get("type", "string"), "text")


def _told(node: Node, needed: bool) -> str:
    """What belongs in a column, in the words of the description."""
    least, most = node.get("minimum", node.get("exclusiveMinimum")), node.get("maximum")
    parts = ["Needed."] if needed else []
    parts.append(node.get("description", "").replace("`", "").strip())
    if most is not None:
        parts.append(f"From {least} to {most}." if least is not None else f"Up to {most}.")
    if node.get("type") == "array":
        parts.append("Several with commas between them.")
    return " ".join(part for part in parts if part)

"""What of a description a newer one breaks, for those who call by the older one.

Nothing may be removed. What callers send may not be narrowed, what they are answered may not be widened: a client that
was made from the older description must find every member and value as it expects it.

``python -m tests.contract.compatibility`` keeps the present description, without words and examples, as the released
one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import yaml

from service.api.spec import load_spec

RELEASED = Path(__file__).parent / "released"
Node = Mapping[str, Any]
LOWEST = ("minimum", "exclusiveMinimum", "minLength", "minItems", "minProperties")
HIGHEST = ("maximum", "exclusiveMaximum", "maxLength", "maxItems", "maxProperties")
FORMS = ("pattern", "format", "propertyNames", "uniqueItems", "const")


def released() -> Path:
    """The description of the last release."""
    return max(RELEASED.glob("*.yaml"), key=lambda path: [int(part) for part in path.stem.split(".")])


def bare(node: Any, named: bool = False) -> Any:
    """A description without what is for people alone. ``named``: the keys are names of the description's own."""
    if isinstance(node, list):
        return [bare(each) for each in node]
    if not isinstance(node, dict):
        return node
    for_people = () if named else ("description", "summary", "example", "examples", "links")
    maps = ("properties", "schemas", "parameters", "headers", "responses", "paths")
    return {name: bare(each, name in maps and not named) for name, each in node.items() if name not in for_people}


def breaks(old: Node, new: Node) -> list[str]:
    """What breaks, each in a line that begins with its place."""
    return list(_Comparison(old, new).everything())


class _Comparison:
    """Two descriptions, gone through side by side."""

    def __init__(self, old: Node, new: Node) -> None:
        self._old, self._new = old, new
        self._seen: set[tuple[str, str, bool]] = set()

    def everything(self) -> Iterator[str]:
        for path, item in self._old["paths"].items():
            for method, operation in item.items():
                place = f"{method.upper()} {path}"
                other = self._new["paths"].get(path, {}).get(method)
                if other is None:
                    yield f"{place}: is gone"
                else:
                    yield from self._operation(place, operation, other)

    def _operation(self, place: str, old: Node, new: Node) -> Iterator[str]:
        for member in ("operationId", "tags"):
            if old[member] != new[member]:
                yield f"{place}: {member} is another"
        asked = [node.get("security", whole["security"]) for node, whole in ((old, self._old), (new, self._new))]
        if asked[0] != asked[1]:
            yield f"{place}: security is another"
        yield from self._parameters(place, old, new)
        before, after = old.get("requestBody", {}).get("content", {}), new.get("requestBody", {}).get("content", {})
        if after and not before:
            yield f"{place}: asks for a body"
        yield from self._contents(f"{place} body", before, after, sent=True)
        for status, response in old["responses"].items():
            if status not in new["responses"]:
                yield f"{place} {status}: is gone"
                continue
            was, now = self._at(self._old, response), self._at(self._new, new["responses"][status])
            yield from self._contents(f"{place} {status}", was.get("content", {}), now.get("content", {}), sent=False)
            for name in was.get("headers", {}).keys() - now.get("headers", {}).keys():
                yield f"{place} {status}: header {name} is gone"

    def _parameters(self, place: str, old: Node, new: Node) -> Iterator[str]:
        before, after = (
            {
                (each["name"], each["in"]): each
                for each in (self._at(document, one) for one in node.get("parameters", ()))
            }
            for document, node in ((self._old, old), (self._new, new))
        )
        for key, parameter in before.items():
            if key not in after:
                yield f"{place}: parameter {key[0]} is gone"
            else:
                yield from self._schema(f"{place} {key[0]}", parameter["schema"], after[key]["schema"], sent=True)
        for key, parameter in after.items():
            if parameter.get("required") and not before.get(key, {}).get("required"):
                yield f"{place}: parameter {key[0]} is asked for"

    def _contents(self, place: str, old: Node, new: Node, sent: bool) -> Iterator[str]:
        for media_type, media in old.items():
            if media_type not in new:
                yield f"{place}: {media_type} is gone"
            else:
                yield from self._schema(place, media["schema"], new[media_type]["schema"], sent)

    def _schema(self, place: str, old: Node, new: Node, sent: bool) -> Iterator[str]:
        names = (old.get("$ref", ""), new.get("$ref", ""), sent)
        if names[0] and names[1]:
            if names in self._seen:
                return
            self._seen.add(names)
            place = f"{names[0].rpartition('/')[2]}{'' if sent else ' (answered)'}"
        old, new = self._at(self._old, old), self._at(self._new, new)
        # The side that may be no wider than the other, as far as types, values and bounds go.
        within, around = (old, new) if sent else (new, old)
        yield from self._values(place, within, around)
        yield from self._members(place, old, new, sent)
        for word in ("oneOf", "anyOf", "allOf"):
            yield from self._alternatives(place, old.get(word, ()), new.get(word, ()), sent, word)
        for word in ("items", "additionalProperties"):
            before, after = old.get(word), new.get(word)
            if isinstance(before, Mapping) and isinstance(after, Mapping):
                yield from self._schema(f"{place}/{word}", before, after, sent)
            elif sent and after is False and before is not False:
                yield f"{place}: is closed"

    def _values(self, place: str, within: Node, around: Node) -> Iterator[str]:
        kinds, wider = (_listed(node.get("type")) for node in (within, around))
        if wider and not kinds <= wider | ({"integer"} if "number" in wider else set()):
            yield f"{place}: type is another"
        if "enum" in around and not set(within.get("enum", [object])) <= set(around["enum"]):
            yield f"{place}: values do not agree"
        for word in LOWEST:
            if word in around and within.get(word, float("-inf")) < around[word]:
                yield f"{place}: {word} does not agree"
        for word in HIGHEST:
            if word in around and within.get(word, float("inf")) > around[word]:
                yield f"{place}: {word} does not agree"
        for word in FORMS:
            if around.get(word) and within.get(word) != around[word]:
                yield f"{place}: {word} does not agree"

    def _members(self, place: str, old: Node, new: Node, sent: bool) -> Iterator[str]:
        before, after = old.get("properties", {}), new.get("properties", {})
        for name, schema in before.items():
            if name not in after:
                yield f"{place}: {name} is gone"
            else:
                yield from self._schema(f"{place}/{name}", schema, after[name], sent)
        asked, was = set(new.get("required", ())), set(old.get("required", ()))
        for name in sorted(asked - was if sent else was - asked):
            yield f"{place}: {name} is {'asked for' if sent else 'not always there'}"

    def _alternatives(self, place: str, old: Any, new: Any, sent: bool, word: str) -> Iterator[str]:
        """Each alternative of the narrower side agrees with one of the other; of ``allOf`` the other way round."""
        narrow_is_old = sent != (word == "allOf")
        for schema in old if narrow_is_old else new:
            others = new if narrow_is_old else old
            seen = set(self._seen)
            pairs = ((schema, other) if narrow_is_old else (other, schema) for other in others)
            if others and not any(not list(self._schema(place, *pair, sent)) for pair in pairs):
                self._seen = seen
                yield f"{place}: an alternative of {word} does not agree"

    @staticmethod
    def _at(document: Node, node: Node) -> Node:
        while "$ref" in node:
            target: Any = document
            for part in node["$ref"].removeprefix("#/").split("/"):
                target = target[part]
            node = {**target, **{name: value for name, value in node.items() if name != "$ref"}}
        return node


def _listed(kind: Any) -> set[str]:
    return set(kind) if isinstance(kind, list) else {kind} if kind else set()


if __name__ == "__main__":
    spec = load_spec()
    RELEASED.mkdir(exist_ok=True)
    kept = yaml.dump(bare(spec.document), Dumper=yaml.CSafeDumper, sort_keys=False, allow_unicode=True, width=118)
    (RELEASED / f"{spec.version}.yaml").write_text(kept, "utf-8")

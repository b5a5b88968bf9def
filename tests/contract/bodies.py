"""Bodies for comparing verdicts: the fullest valid body of each schema, and faulty ones made from it."""

from __future__ import annotations

import random
from collections.abc import Iterator
from copy import deepcopy
from typing import Any

from service.api.spec import Spec

ODD: tuple[Any, ...] = (
    None,
    True,
    False,
    0,
    1,
    -1,
    2,
    1.5,
    12.0,
    0.0,
    -0.0,
    0.5,
    0.9,
    0.90001,
    0.4999,
    0.9999,
    0.99991,
    1e-9,
    1e-6,
    9e-7,
    0.001,
    0.00099,
    24,
    100,
    101,
    500,
    500.5,
    1000,
    1001,
    10_000,
    10_001,
    20_001,
    100_000,
    100_000.5,
    1_000_000,
    1_000_001,
    5e15,
    2**53 - 1,
    -(2**53),
    1e300,
    "",
    " ",
    "1",
    "12",
    "1.5",
    "true",
    "yes",
    "null",
    "A",
    "a" * 40,
    "a" * 41,
    "a" * 64,
    "a" * 65,
    "a" * 200,
    "a" * 201,
    "é" * 40,
    "😀" * 41,
    "x\n",
    "\n",
    "a\tb",
    "\x00",
    "\x7f",
    "\x85",
    "\u2028",
    "\u00a0",
    "-a",
    ".a",
    "a.b_c-d",
    "1-12",
    "12-1",
    "0",
    "01",
    "1-",
    "1,,2",
    "1-4,9-12",
    "1-4, 9",
    "1-12\n",
    "1" * 9,
    "1" * 10,
    "１",
    "12.50",
    "12.5",
    "012",
    "12.",
    ".5",
    "-1",
    "1e3",
    "12.505",
    "999999999.99",
    "1000000000",
    "EUR",
    "EU",
    "eur",
    "EUR\n",
    "trays",
    "stack",
    "Trays",
    "tube",
    "flat",
    "single",
    "loose",
    "ribbon",
    "in",
    "out",
    "pole",
    "price",
    "splice",
    "closure",
    "draft",
    "placed",
    "received",
    "issued",
    "withdrawn",
    "0" * 32,
    "2026-03-02",
    "2026-02-29",
    "2024-02-29",
    "1899-12-31",
    "2099-12-31",
    "2026-13-01",
    "2026-3-2",
    "2026-03-02\n",
    "https://h.example/told",
    "http://h.example",
    "https://h.exämple/",
    "https://h.example/\n",
    "ftp://h.example/",
    "https://" + "h" * 1992,
    "https://" + "h" * 1993,
    "order.placed",
    ["order.placed"],
    ["order.placed", "order.placed"],
    0.01,
    0.0099,
    -90,
    90.5,
    -180,
    180.5,
    [],
    {},
    [None],
    [1],
    ["a"],
    ["a", "a"],
    ["a"] * 51,
    [[]],
    {"a": 1},
    {"count": 1, "slots": {"a": 1}},
    {"ribbon-12": 0},
    {"ribbon-12": 6, "-": 6},
    {f"k{n}": 1 for n in range(51)},
    {"G.652.D": 30},
    {"G.652.D\n": 30},
    {"percent": 20, "in": "trays"},
    {"cable": "A", "ribbons": "1"},
    {"cable": "A", "ribbons": "1", "fibres": "1"},
    {"cable": "A"},
)
"""Values that readers of JSON like to disagree about, and values about the bounds of the description."""


def fullest(spec: Spec, node: Any) -> Any:
    """A valid value with every optional member, and one item in every array."""
    node = spec.resolved(node)
    if "enum" in node:
        return node["enum"][0]
    if "oneOf" in node and "properties" not in node:
        return fullest(spec, node["oneOf"][0])
    if "type" not in node:
        # Anything goes; the first of what is named is the fullest.
        return fullest(spec, node["anyOf"][0])
    kind = node["type"]
    if kind == "object":
        if isinstance(node.get("additionalProperties"), dict):
            return {"ribbon-12": fullest(spec, node["additionalProperties"])}
        members = {name: fullest(spec, each) for name, each in node.get("properties", {}).items()}
        if "oneOf" in node:
            members.pop(node["oneOf"][1]["required"][0])
        return members
    if kind == "array":
        return [fullest(spec, node["items"])]
    if kind == "string":
        texts = ("abc", "12.50", "EUR", "1-4,9", "0" * 32, "2026-03-02", "https://h.example/")
        return next(text for text in texts if spec.compiled(node).is_valid(text))
    number = min(0.75, node.get("maximum", 0.75))
    return {"integer": max(2, node.get("minimum", 2)), "number": number, "boolean": True}[kind]


def faulty(body: Any, chance: random.Random) -> Any:
    """A copy of a body with one to three changes at random places; some of them leave it valid."""
    body = deepcopy(body)
    for _ in range(chance.choice((1, 1, 1, 2, 3))):
        places = list(_places(body))
        holder, name = chance.choice(places) if places else ({"a": 1}, "a")
        change = chance.randrange(10)
        if change == 0:
            del holder[name]
        elif change == 1 and isinstance(holder, dict):
            holder[chance.choice(("colour", "Code", "_schema", "a/b~c", "", "code ", "fits"))] = chance.choice(ODD)
        elif change == 2 and isinstance(holder, list):
            holder.append(deepcopy(holder[name]))
        else:
            holder[name] = deepcopy(chance.choice(ODD))
    return body


def _places(node: Any) -> Iterator[tuple[Any, Any]]:
    for name in list(node) if isinstance(node, dict) else range(len(node)) if isinstance(node, list) else ():
        yield node, name
        yield from _places(node[name])

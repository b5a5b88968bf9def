"""What Schemathesis draws from beside the schemas, so that much of what it sends is about things that are there.

A dictionary is a list of values; a binding says at which place of a request it is drawn from, and how often.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from service.api.spec import Operation, load_spec
from tests.faults.written import catalogue, request

OFTEN, MOSTLY = 0.6, 0.9
SECTIONS = ("sleeves", "trays", "closures", "cables", "methods", "materials")


@dataclass(frozen=True)
class Binding:
    """A place, ``path.id`` or ``body.cables[*].tag``, and the dictionary that it is drawn from so often."""

    place: str
    dictionary: str
    probability: float = OFTEN


_JOINTS = [
    Binding("body.cables[*].cable", "cables", MOSTLY),
    Binding("body.cables[*].tag", "tags", MOSTLY),
    *(
        Binding(f"body.joints[*].{side}.{name}", dictionary, MOSTLY)
        for side in ("from", "to")
        for name, dictionary in (("cable", "tags"), ("ribbons", "ranges"), ("fibres", "ranges"))
    ),
]
_BODIES = {
    "createPlan": [*_JOINTS, Binding("body.closures[*]", "closures", MOSTLY)],
    "checkFit": [*_JOINTS, Binding("body.closures[*]", "closures", MOSTLY)],
    "createAddition": _JOINTS,
    "putClosure": [Binding("body.trays[*].tray", "trays", MOSTLY), Binding("body.includes[*].material", "materials")],
    "putCable": [Binding("body.method", "methods")],
    "createOrder": [Binding("body.plans[*]", "plans", MOSTLY), Binding("body.takeoffs[*]", "takeoffs", MOSTLY)],
    "createWebhook": [Binding("body.url", "receivers", MOSTLY)],
    "putWebhook": [Binding("body.url", "receivers", MOSTLY)],
    "hangClosure": [Binding("body.plan", "plans", MOSTLY)],
    "recordVisit": [Binding("body.plan", "additions", MOSTLY)],
    "abandonCable": [Binding("body.cable", "tags", MOSTLY)],
    "removeSplices": [Binding("body.splices[*]", "numbers", MOSTLY)],
    "recordSplices": [Binding("body.records[*].splice", "numbers", MOSTLY)],
}


def settings_of(standing: Mapping[str, Sequence[str]], doomed: Mapping[str, Sequence[str]]) -> Iterator[str]:
    """Lines of TOML. Ids by the first word of their paths: of what stands, and of what is there to be removed."""
    dictionaries = {**standing, **{f"doomed_{kind}": ids for kind, ids in doomed.items()}, **_words()}
    for name, values in dictionaries.items():
        yield f"[dictionaries.{name}]"
        yield f"values = {json.dumps(list(values))}"
    for operation in load_spec().operations.values():
        bound = _bindings(operation, standing)
        if bound:
            yield "[[operations]]"
            yield f'include-operation-id = "{operation.id}"'
            yield "parameters = { " + ", ".join(map(_told, bound)) + " }"


def _bindings(operation: Operation, standing: Mapping[str, Sequence[str]]) -> list[Binding]:
    kind = operation.path.removeprefix("/v1/").split("/")[0]
    found = list(_BODIES.get(operation.id, []))
    if "{id}" in operation.path and kind in standing:
        removed = operation.method == "delete"
        found.append(Binding("path.id", f"doomed_{kind}" if removed else kind, MOSTLY if removed else OFTEN))
    if "{delivery}" in operation.path:
        found.append(Binding("path.delivery", "deliveries"))
    if "{code}" in operation.path:
        found.append(Binding("path.code", kind if kind in SECTIONS else "sleeves"))
    if "{place}" in operation.path:
        found.append(Binding("path.place", "numbers"))
    if operation.method in ("put", "delete"):
        found.append(Binding("header.If-Match", "any_tag"))
    return found


def _words() -> dict[str, Sequence[str | int]]:
    return {
        **{section: [entry["code"] for entry in catalogue()[section]] for section in SECTIONS},
        "tags": [*(cable["tag"] for cable in request()["cables"]), "D"],
        "ranges": ["1", "1-2", "3-4", "5", "23", "24"],
        "numbers": [1, 2, 3, 4],
        "any_tag": ["*"],
        # Addresses in figures, so that nothing is looked up; nothing is sent there by the server that is tried.
        "receivers": ["https://1.1.1.1/told", "https://1.0.0.1/told"],
    }


def _told(binding: Binding) -> str:
    return f'"{binding.place}" = {{ dictionary = "{binding.dictionary}", probability = {binding.probability} }}'

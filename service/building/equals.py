"""Equal splice points: the same demand under other names.

The name of a splice point, the tags of its cables and its keep-apart labels are the caller's own words; planning does
not look into them. With placeholders in their stead, in the order in which they first appear, equal demands become one
text, the canonical request, which is planned once; ``renaming`` gives each splice point its own words back. Labels and
tags are numbered together and kept apart, so that a label which is spelled like a tag stays another thing.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import orjson

from service.building.placeholders import longest_run, placeholder

Document = dict[str, Any]


class Canonical(NamedTuple):
    """A demand without its names: the request as JSON, one text for all equal ones, and the names by placeholder."""

    request: bytes
    names: dict[str, str]


class _Names:
    """Hands out placeholders in the order of appearance."""

    def __init__(self, run: int) -> None:
        self.run = run
        self.given: dict[str, str] = {}
        self._tags: dict[str, str] = {}
        self._labels: dict[str, str] = {}

    def tag(self, name: str) -> str:
        return self._tags.get(name) or self._new(self._tags, name)

    def label(self, name: str) -> str:
        return self._labels.get(name) or self._new(self._labels, name)

    def _new(self, kind: dict[str, str], name: str) -> str:
        new = kind[name] = placeholder(len(self.given) + 1, self.run)
        self.given[new] = name
        return new


def canonical(document: Mapping[str, Any], run: int) -> Canonical:
    """The demand of a schema-valid plan request; ``run``: the longest run of brackets in the catalogue's texts.

    Only what names and labels say is taken out: whatever else differs makes another demand, also where planning
    would come to the same. The order of members does not count.
    """
    radii = document.get("rules", {}).get("storage_radius_mm")
    names = _Names(max(run, longest_run(radii)) if radii else run)
    request = {member: value for member, value in document.items() if member != "name"}
    request["cables"] = [{**cable, "tag": names.tag(cable["tag"])} for cable in document["cables"]]
    request["joints"] = [_joint(joint, names) for joint in document["joints"]]
    if "existing_trays" in document:
        request["existing_trays"] = [_labelled(tray, names) for tray in document["existing_trays"]]
    return Canonical(orjson.dumps(request, option=orjson.OPT_SORT_KEYS), names.given)


def _joint(joint: Document, names: _Names) -> Document:
    from_, to = joint["from"], joint["to"]
    renamed = {
        **joint,
        "from": {**from_, "cable": names.tag(from_["cable"])},
        "to": {**to, "cable": names.tag(to["cable"])},
    }
    return _labelled(renamed, names)


def _labelled(thing: Document, names: _Names) -> Document:
    label = thing.get("keep_apart")
    return thing if label is None else {**thing, "keep_apart": names.label(label)}

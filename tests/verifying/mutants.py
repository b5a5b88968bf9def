"""Plans with one member changed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from copy import deepcopy
from typing import Any

Path = tuple[str | int, ...]


def members(document: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Every member and element, with the path to it."""
    if isinstance(document, dict):
        for name, value in document.items():
            yield (*path, name), value
            yield from members(value, (*path, name))
    elif isinstance(document, list):
        for place, value in enumerate(document):
            yield (*path, place), value
            yield from members(value, (*path, place))


def parent_of(document: Any, path: Path) -> Any:
    """What holds the member at a path."""
    for part in path[:-1]:
        document = document[part]
    return document


def with_value(document: Any, path: Path, value: Any) -> Any:
    """A copy with another value at a path."""
    changed = deepcopy(document)
    parent_of(changed, path)[path[-1]] = value
    return changed


def without(document: Any, path: Path) -> Any:
    """A copy without the member or element at a path."""
    changed = deepcopy(document)
    del parent_of(changed, path)[path[-1]]
    return changed


def doubled(document: Any, path: Path) -> Any:
    """A copy with an element of a list twice."""
    changed = deepcopy(document)
    parent_of(changed, path).insert(path[-1], deepcopy(parent_of(changed, path)[path[-1]]))
    return changed


def other_values(value: Any) -> list[Any]:
    """Values that are near to one, of the same kind and of others."""
    if isinstance(value, bool):
        return [not value, None, 1]
    if isinstance(value, int):
        return [value + 1, value - 1, value * 2 + 3, 0, None, "x"]
    if isinstance(value, float):
        return [value + 1, value - 1, value * 2, None]
    if isinstance(value, str):
        return [value + "x", "", None, 7]
    if value is None:
        return [0, 1, "x"]
    return [None, 3]


def pattern_of(path: Path) -> str:
    """The path as a pointer with ``*`` for the places in lists and for codes of the catalogue."""
    pointer = "/" + "/".join("*" if isinstance(part, int) else str(part) for part in path)
    pointer = re.sub(r"/revisions/.*", "/revisions/*", pointer)
    return re.sub(r"/(storage_um2|banks/\*|asked|storage_radius_mm|loss_db)/[^/]+$", r"/\1/*", pointer)

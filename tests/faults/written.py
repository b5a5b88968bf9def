"""What the clients of a fault test send: the description's small catalogue and a request on it."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from service.api.spec import load_spec


def catalogue() -> dict[str, Any]:
    """The description's small catalogue."""
    return _example("smallCatalogue")


def request() -> dict[str, Any]:
    """The description's request of three cables in a handhole: 24 splices."""
    return _example("handholeRequest")


def tray(code: str, title: str) -> dict[str, Any]:
    """A tray of its own that no closure takes, so that it changes no plan."""
    return {**catalogue()["trays"][0], "code": code, "title": title}


def lines() -> bytes:
    """The description's four lines of a takeoff: two of them alike, and two not in order."""
    text: str = _example("splicePointLines")
    return text.encode()


def _example(name: str) -> Any:
    found: Any = deepcopy(load_spec().document["components"]["examples"][name]["value"])
    return found

"""Hanging closures over HTTP in tests, and what they come to."""

from __future__ import annotations

from typing import Any

from tests.api.held_client import HeldClient

Document = dict[str, Any]
DROP: Document = {
    "name": "drop to 12",
    "cables": [{"tag": "D", "cable": "drop-24"}],
    "joints": [{"from": {"cable": "B", "ribbons": "23"}, "to": {"cable": "D", "ribbons": "1"}}],
}
"""One cable more, its first ribbon to a ribbon of B that was parked when the handhole was spliced."""


def hang(client: HeldClient, request: Document, **said: Any) -> Document:
    """Plan a request and hang its closure; the installation."""
    plan = client.post("/v1/plans", json=request).get_json()
    made = client.post("/v1/installations", json={"plan": plan["id"], **said})
    assert made.status_code == 201, made.get_data(as_text=True)
    document: Document = made.get_json()
    return document


def path_of(installation: Document, part: str = "") -> str:
    """The address of an installation, or of a part of it."""
    return f"/v1/installations/{installation['id']}{part}"


def lying(installation: Document) -> dict[int, tuple[Any, ...]]:
    """Where every splice lies and what it joins, by its number."""
    return {
        splice["number"]: (tray["position"], splice["bank"], splice["slot"], splice["from"], splice["to"])
        for tray in installation["trays"]
        for splice in tray["splices"]
    }


def slots(installation: Document) -> list[tuple[int, int, int]]:
    """The slots that splices lie in."""
    return [place[:3] for place in lying(installation).values()]

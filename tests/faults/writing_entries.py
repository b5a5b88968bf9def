"""Writes that say what they expect to find: entries of the catalogue, counted stock, where a closure hangs; tokens.

Each thing has one client that writes it, and every write its own text. So a client whose connection broke looks whether
its text is there already.
"""

from __future__ import annotations

from typing import Any

from tests.faults.insisting import Insisting
from tests.faults.written import tray

NEVER = {"If-None-Match": "*"}


class Entries:
    """What one client does to a tray of its own, and to the stock of another one that is its own as well."""

    def __init__(self, server: Insisting, number: int) -> None:
        self._server, self._told = server, server.told
        self._edited, self._counted = f"edited-{number}", f"counted-{number}"

    def edited(self, title: str, whole: bool = False) -> None:
        """Create the tray or give it another title; ``whole``: by sending the whole catalogue."""
        while True:
            found = self._server.get(f"/v1/trays/{self._edited}", (200, 404))
            if found.status == 200 and found.document["title"] == title:
                break
            status = self._whole(title) if whole and found.status == 200 else self._put(self._edited, title, found.tag)
            if status != 412:
                break
        self._told.titles[self._edited] = title
        self._told.done("catalogue", "trays", self._edited, "put")

    def removed(self) -> None:
        """Remove the tray, which nothing uses."""
        path = f"/v1/trays/{self._edited}"
        while (found := self._server.get(path, (200, 404))).status == 200:
            if self._server.insisted("DELETE", path, None, {"If-Match": found.tag}, (204, 404, 412)).status == 204:
                break
        del self._told.titles[self._edited]
        self._told.done("catalogue", "trays", self._edited, "remove")

    def counted(self, on_hand: int) -> None:
        """Say how many lie in the store; the first time the tray is created as well."""
        path = f"/v1/stock/{self._counted}?kind=tray"
        if self._counted not in self._told.counts:
            self._put(self._counted, "Counted", "")
            self._told.titles[self._counted] = "Counted"
            self._told.done("catalogue", "trays", self._counted, "put")
        while True:
            found = self._server.get(path, (200, 404))
            if found.status == 200 and found.document["on_hand"] == on_hand:
                break
            expected = {"If-Match": found.tag} if found.status == 200 else NEVER
            if self._server.insisted("PUT", path, {"on_hand": on_hand}, expected, (200, 201, 412)).status != 412:
                break
        self._told.counts[self._counted] = on_hand
        self._told.done("stock", "stock", self._counted, "count")

    def _put(self, code: str, title: str, tag: str) -> int:
        expected = {"If-Match": tag} if tag else NEVER
        return self._server.insisted("PUT", f"/v1/trays/{code}", tray(code, title), expected, (200, 201, 412)).status

    def _whole(self, title: str) -> int:
        found = self._server.get("/v1/catalogue")
        for entry in found.document["trays"]:
            if entry["code"] == self._edited:
                entry["title"] = title
        expected = {"If-Match": found.tag}
        return self._server.insisted("PUT", "/v1/catalogue", _sendable(found.document), expected, (200, 412)).status


def token_made_and_revoked(server: Insisting, name: str, revoke: bool) -> None:
    """Make a token, which has no key: a request that is sent again may make two, the second of which is told."""
    made = server.insisted("POST", "/v1/tokens", {"name": name, "scopes": ["read"]}, wanted=(201,)).document
    server.told.tokens[made["id"]] = name
    server.told.done("tokens", "tokens", made["id"], "make")
    if revoke:
        server.insisted("DELETE", f"/v1/tokens/{made['id']}", None, {"If-Match": "*"}, (204,))
        server.told.revoked.add(made["id"])
        server.told.done("tokens", "tokens", made["id"], "revoke")


def _sendable(catalogue: dict[str, Any]) -> dict[str, Any]:
    """A catalogue as it is sent: what an entry says of its revision stays away."""
    members = {kind: entries for kind, entries in catalogue.items() if isinstance(entries, list)}
    return {
        kind: [{name: value for name, value in entry.items() if name not in ("revision", "retired")} for entry in each]
        for kind, each in members.items()
    }

"""What a client does to a closure that it has hung: added to, visited, taken from, renamed, recorded, taken down."""

from __future__ import annotations

from typing import Any

from tests.faults.insisting import Insisting

DROP: dict[str, Any] = {
    "cables": [{"tag": "D", "cable": "drop-24"}],
    "joints": [{"from": {"cable": "B", "ribbons": "23"}, "to": {"cable": "D", "ribbons": "1"}}],
}
SECOND: dict[str, Any] = {"joints": [{"from": {"cable": "B", "ribbons": "24"}, "to": {"cable": "D", "ribbons": "2"}}]}
"""One cable more, to ribbons of B that lie parked once the handhole is spliced."""


class Hung:
    """One hung closure, changed by one client under keys of its own."""

    def __init__(self, server: Insisting, id: str, name: str) -> None:
        self._server, self._told = server, server.told
        self.id, self._name, self._path = id, name, f"/v1/installations/{id}"

    def added(self) -> None:
        """A drop is planned and recorded in one step."""
        plan = self._planned("added", "/additions?apply=true", DROP)
        self._visited("added", plan)

    def planned_and_carried_out(self) -> None:
        """A second ribbon is planned, kept, and carried out on a later visit."""
        plan = self._planned("planned", "/additions", SECOND)
        self._changed("visit", "/visits", {"plan": plan})
        self._visited("added", plan)

    def taken_from(self) -> None:
        """The splice that was laid last is taken out."""
        trays = self._server.get(self._path).document["trays"]
        last = max(splice["number"] for tray in trays for splice in tray["splices"])
        self._changed("removal", "/removals", {"splices": [last]})
        self._visited("removed", None)

    def given_up(self) -> None:
        """The drop's cable is given up."""
        self._changed("abandonment", "/abandonments", {"cable": "D"})
        self._visited("cable_abandoned", None)

    def renamed(self, name: str) -> None:
        """Where it hangs is told, once: after a broken connection it is looked at whether it was already."""
        while (found := self._server.get(self._path)).document.get("name") != name:
            expected = {"If-Match": found.tag}
            if self._server.insisted("PUT", self._path, {"name": name}, expected, (200, 412)).status == 200:
                break
        self._told.places[self.id] = name
        self._told.done("places", "installations", self.id, "rename")

    def recorded(self, turn: int) -> None:
        """Splices are measured."""
        by = f"{self._name} {turn}"
        records = [{"splice": number, "remakes": turn, "losses": []} for number in (1, 2)]
        self._changed(f"records-{turn}", "/splice-records", {"by": by, "records": records})
        self._told.records[self.id].append(by)
        self._told.done("records", "installations", self.id, "record")

    def taken_down(self) -> None:
        """It is removed with its visits and records."""
        self._server.insisted("DELETE", self._path, None, {"If-Match": "*"}, (204, 404))
        self._told.removed.add(self.id)
        self._told.done("removed", "installations", self.id, "remove")

    def _planned(self, what: str, part: str, body: dict[str, Any]) -> str:
        key = f"{what}-{self._name}"
        id: str = self._server.stored(self._path + part, key, body)["id"]
        self._told.plans[key] = id
        self._told.done("plans", "plans", id)
        return id

    def _changed(self, what: str, part: str, body: dict[str, Any]) -> None:
        key = f"{what}-{self._name}"
        self._server.stored(self._path + part, key, body)
        self._told.answered_again[key] = self.id

    def _visited(self, kind: str, plan: str | None) -> None:
        self._told.visits[self.id].append((kind, plan))
        self._told.done("visits", "installations", self.id, kind)

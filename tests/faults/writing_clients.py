"""Clients that write without pause and know exactly what was acknowledged to them: every kind of write there is."""

from __future__ import annotations

import threading
from typing import Any

from tests.faults.acknowledged import Acknowledged
from tests.faults.insisting import Insisting, Line
from tests.faults.writing_contents import Hung
from tests.faults.writing_entries import Entries, token_made_and_revoked


class WritingClient(threading.Thread):
    """A client that writes until ``stop`` is set, and then finishes the write that it is at."""

    def __init__(
        self, number: int, port: int, token: str, request: dict[str, Any], stop: threading.Event, enough: int
    ) -> None:
        super().__init__(name=f"client {number}", daemon=True)
        self.number, self.told = number, Acknowledged()
        self._line = Line(port, token)
        self._server = Insisting(self._line, self.told)
        self._entries = Entries(self._server, number)
        self._request, self._stopped, self._enough = request, stop, enough

    def run(self) -> None:
        """Turn after turn; who has written enough goes on slowly, so that the others are not left alone."""
        turn = 0
        try:
            while not self._stopped.is_set():
                turn += 1
                self.turn(f"{self.number}-{turn}", turn)
                if self.told.writes.total() >= self._enough:
                    self._stopped.wait(0.05)
        except Exception as error:
            self.told.wrong.append(f"{self.name}: {error!r}")
        finally:
            self.drop()

    def drop(self) -> None:
        """Close the connection."""
        self._line.drop()

    def turn(self, name: str, turn: int) -> None:
        """A plan, and by turns what is done with plans."""
        plan = self._stored("plans", "/v1/plans", f"plan-{name}", {**self._request, "name": name})
        if turn % 2:
            self._ordered(name, turn, plan)
        elif turn % 4 == 0:
            self._hung(name, turn, plan)
        if turn % 10 == 2:
            self._removed("plans", f"/v1/plans/{plan}", plan)
        if turn % 3 == 0:
            self._entries.edited(f"{name} edited", whole=turn % 15 == 0)
            self._entries.counted(turn)
        if turn % 18 == 0:
            self._entries.removed()
        if turn % 12 == 6:
            points = [{**self._request, "name": f"{name} {point}"} for point in range(3)]
            body = {"name": name, "splice_points": points}
            self._stored("takeoffs", "/v1/takeoffs", f"takeoff-{name}", body, "begin")
        if turn % 9 == 7:
            token_made_and_revoked(self._server, f"token {name}", revoke=turn % 2 == 0)

    def _ordered(self, name: str, turn: int, plan: str) -> None:
        """An order; every tenth turn it is removed while it is a draft, every fourth it goes all its way."""
        order = self._stored("orders", "/v1/orders", f"order-{name}", {"plans": [plan], "name": name}, "make")
        self.told.states[order] = "draft"
        if turn % 10 == 5:
            self._removed("orders", f"/v1/orders/{order}", order)
            del self.told.states[order]
        elif turn % 4 == 1:
            for state in ("placed", "received", "issued"):
                self._moved(order, state)

    def _hung(self, name: str, turn: int, plan: str) -> None:
        """A closure hung from the plan; every eighth turn crews come again and again."""
        id = self._stored("installations", "/v1/installations", f"hung-{name}", {"plan": plan}, "hung")
        self.told.visits[id].append(("hung", plan))
        hung = Hung(self._server, id, name)
        if turn % 8 == 0:
            hung.added()
            hung.recorded(1)
            hung.renamed(f"{name}, by the gate")
            hung.planned_and_carried_out()
            hung.recorded(2)
            hung.taken_from()
        if turn % 16 == 0:
            hung.given_up()
        if turn % 24 == 12:
            hung.taken_down()

    def _stored(self, kind: str, path: str, key: str, body: dict[str, Any], *operations: str) -> str:
        id: str = self._server.stored(path, key, body)["id"]
        getattr(self.told, kind)[key] = id
        self.told.done(kind, kind, id, *operations)
        return id

    def _moved(self, order: str, state: str) -> None:
        """Let an order go on, once: after a broken connection it is looked at whether it did already."""
        path = f"/v1/orders/{order}/state"
        while (standing := self._server.get(path)).document["state"] != state:
            expected = {"If-Match": standing.tag}
            if self._server.insisted("PUT", path, {"state": state}, expected, (200, 412)).status == 200:
                break
        self.told.states[order] = state
        self.told.done("order_states", "orders", order, state)

    def _removed(self, kind: str, path: str, id: str) -> None:
        self._server.insisted("DELETE", path, None, {"If-Match": "*"}, (204, 404))
        self.told.removed.add(id)
        self.told.done("removed", kind, id, "remove")

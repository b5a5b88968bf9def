"""Plans under keys, orders from plans and takeoffs, and the stock that moves with them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import rule

from tests.api.test_installations_at_once import FIRST
from tests.faults.life.served import Served

NEXT = {
    "draft": ("placed", "withdrawn"), "placed": ("received", "withdrawn"), "received": ("issued", "withdrawn")
}  # fmt: skip
ON = {"draft": "placed", "placed": "received", "received": "issued"}
COUNTED = "rs-12"


class Plans(Served):
    """The part of a life that is about plans and orders."""

    @rule(target=Served.plan_ids, key=st.sampled_from("abcdef"), name=st.sampled_from(["north", "south"]))
    def planned(self, key: str, name: str) -> str:
        """A key gives one plan for one body, and no plan for another."""
        answer = self.client.post("/v1/plans", json={**FIRST, "name": name}, headers={"Idempotency-Key": key})
        known = self.keys.get(key)
        if known is None:
            assert answer.status_code == 201, answer.data
            found: str = answer.get_json()["id"]
            assert found not in self.plans
            self.plans[found], self.keys[key] = name, (name, found)
            return found
        if known[0] != name:
            assert answer.status_code == 422
        elif known[1] in self.plans:
            assert (answer.status_code, answer.get_json()["id"]) == (201, known[1])
        else:
            assert answer.status_code == 404
        return known[1]

    @rule(plan=st.one_of(Served.plan_ids, Served.addition_ids))
    def plan_removed(self, plan: str) -> None:
        """Not while an order that is not over was made from it."""
        answer = self.client.delete(f"/v1/plans/{plan}", headers={"If-Match": "*"})
        if plan not in self.plans:
            assert answer.status_code == 404
        elif self.at_work(plan):
            assert answer.status_code == 409
        else:
            assert answer.status_code == 204
            del self.plans[plan]

    @rule(plan=Served.plan_ids)
    def plan_removed_unread(self, plan: str) -> None:
        """Not by whoever has read something else, nor by whoever says nothing of what was read."""
        if plan in self.plans:
            assert self.client.delete(f"/v1/plans/{plan}", headers={"If-Match": '"999"'}).status_code == 412
            assert self.client.delete(f"/v1/plans/{plan}").status_code == 428

    @rule(target=Served.order_ids, of=st.one_of(Served.plan_ids, Served.takeoff_ids))
    def ordered(self, of: str) -> str:
        """Nothing is ordered twice, unless the order before was withdrawn or removed; nor a takeoff still at work."""
        kind = "takeoffs" if of in self.takeoffs else "plans"
        answer = self.client.post("/v1/orders", json={kind: [of]})
        before = [id for id, (each, state) in self.orders.items() if each == of and state != "withdrawn"]
        if of not in self.plans and of not in self.takeoffs:
            assert answer.status_code == 422
        elif before or self.takeoffs.get(of, "finished") != "finished":
            assert answer.status_code == 409
        else:
            assert answer.status_code == 201, answer.data
            made: str = answer.get_json()["id"]
            self.orders[made] = (of, "draft")
            return made
        return before[0] if before else "0" * 32

    @rule(order=Served.order_ids, to=st.sampled_from(["on", "on", "on", "withdrawn", "placed", "issued"]))
    def order_moved(self, order: str, to: str) -> None:
        """An order goes its way and no other."""
        state = ON.get(self.orders[order][1] if order in self.orders else "", "issued") if to == "on" else to
        answer = self.client.put(f"/v1/orders/{order}/state", json={"state": state}, headers={"If-Match": "*"})
        if order not in self.orders:
            assert answer.status_code == 404
            return
        of, standing = self.orders[order]
        allowed = state == standing or state in NEXT.get(standing, ())
        assert answer.status_code == (200 if allowed else 409), (standing, state, answer.data)
        self.orders[order] = (of, state if allowed else standing)
        stale = self.client.put(f"/v1/orders/{order}/state", json={"state": state}, headers={"If-Match": '"999"'})
        assert stale.status_code == 412

    @rule(order=Served.order_ids)
    def order_removed(self, order: str) -> None:
        """A draft can be removed."""
        answer = self.client.delete(f"/v1/orders/{order}", headers={"If-Match": "*"})
        if order not in self.orders:
            assert answer.status_code == 404
        elif self.orders[order][1] == "draft":
            assert answer.status_code == 204
            del self.orders[order]
        else:
            assert answer.status_code == 409

    @rule(order=Served.order_ids)
    def source_of_an_order_removed(self, order: str) -> None:
        """The very plan that an order was made from: not while the order is at work."""
        of = self.orders[order][0] if order in self.orders else None
        if of in self.plans:
            self.plan_removed(of)

    @rule(on_hand=st.integers(0, 80))
    def stock_counted(self, on_hand: int) -> None:
        """Stock is counted anew, but never to less than orders hold."""
        moved, held = self.moved()
        answer = self.client.put(f"/v1/stock/{COUNTED}", json={"on_hand": on_hand}, headers={"If-Match": "*"})
        if answer.status_code == 412 and self.client.get(f"/v1/stock/{COUNTED}").status_code != 200:
            answer = self.client.put(f"/v1/stock/{COUNTED}", json={"on_hand": on_hand}, headers={"If-None-Match": "*"})
            assert answer.status_code == 201
        else:
            assert answer.status_code == (200 if on_hand >= held else 409), (on_hand, held, answer.data)
        if answer.status_code < 300:
            self.counted = on_hand - int(moved)

    def moved(self) -> tuple[Decimal, Decimal]:
        """(by how much orders have changed the stock that was counted, what they hold), from their lines."""
        moved = held = Decimal(0)
        for id, (_, state) in self.orders.items():
            lines: list[dict[str, Any]] = self.client.get(f"/v1/orders/{id}").get_json()["lines"]
            for line in lines:
                if line["item"] == COUNTED:
                    came = Decimal(str((line.get("received") or 0) * line["pack_of"]))
                    needed = Decimal(str(line["from_stock"])) + min(Decimal(str(line["to_buy"])), came)
                    moved += came - (needed if state == "issued" else 0)
                    held += needed if state in ("draft", "placed", "received") else 0
        return moved, held

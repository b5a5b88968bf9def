"""A service's life drawn at random over HTTP, held at every step against a model that is a few dictionaries.

``TRAYWRIGHT_FUZZ=20`` makes twenty times as many lives.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import initialize, invariant, rule, run_state_machine_as_test

from tests.api.hung import lying
from tests.faults.life.catalogue import Catalogue
from tests.faults.life.closures import LIMIT, Closures
from tests.faults.life.plans import COUNTED, Plans
from tests.faults.life.served import Served
from tests.faults.life.takeoffs import Takeoffs

LIVES, STEPS = 6, 50
TIMES = int(os.environ.get("TRAYWRIGHT_FUZZ", "1"))


class Life(Catalogue, Plans, Closures, Takeoffs):
    """Catalogue, plans, orders, stock, hung closures and takeoffs of one team, beside another that sees none of it."""

    @initialize(target=Served.closure_ids)
    def one_closure_hangs(self) -> str:
        """Every life has a closure,"""
        return self.closure_hung(self.planned("first", "north"))

    @initialize(target=Served.order_ids)
    def one_order_is_made(self) -> str:
        """an order,"""
        return self.ordered(self.planned("second", "south"))

    @initialize(target=Served.plan_ids)
    def one_plan_is_kept(self) -> str:
        """a plan,"""
        return self.planned("third", "south")

    @initialize(target=Served.takeoff_ids)
    def one_takeoff_is_at_work(self) -> str:
        """and a takeoff to begin with."""
        return self.takeoff_sent("fourth", 2)

    @rule(plan=Served.plan_ids, order=Served.order_ids, closure=Served.closure_ids, takeoff=Served.takeoff_ids)
    def neighbours_try(self, plan: str, order: str, closure: str, takeoff: str) -> None:
        """What is ours is not there for another team: to read, to remove, or to make something from."""
        for kind, id in (("plans", plan), ("orders", order), ("installations", closure), ("takeoffs", takeoff)):
            assert self.neighbours.get(f"/v1/{kind}/{id}").status_code == 404
            assert self.neighbours.delete(f"/v1/{kind}/{id}", headers={"If-Match": "*"}).status_code == 404
        assert self.neighbours.post("/v1/orders", json={"plans": [plan]}).status_code == 422
        assert self.neighbours.post("/v1/installations", json={"plan": plan}).status_code == 422
        state = {"state": "placed"}
        put = self.neighbours.put(f"/v1/orders/{order}/state", json=state, headers={"If-Match": "*"})
        assert put.status_code == 404

    @invariant()
    def lists_say_what_the_model_says(self) -> None:
        """No more and no less is there than what the model has; looked at after every fifth step."""
        self.steps += 1
        if self.steps % 5:
            return
        assert {each["id"]: each["name"] for each in self.listed("plans")} == self.plans
        orders = {each["id"]: each["state"] for each in self.listed("orders")}
        assert orders == {id: state for id, (_, state) in self.orders.items()}
        assert {each["id"]: each["name"] for each in self.listed("installations")} == {
            id: closure.name for id, closure in self.hung.items()
        }
        assert {each["id"]: each["state"] for each in self.listed("takeoffs")} == self.takeoffs
        for code, (title, revision) in self.trays.items():
            answer = self.client.get(f"/v1/trays/{code}")
            assert (answer.get_json()["title"], answer.headers["ETag"]) == (title, f'"{revision}"')

    @invariant()
    def closures_hang_as_the_model_has_them(self) -> None:
        """Splices, visits, records and the verdict on what was measured; looked at after every fifth step."""
        if self.steps % 5:
            return
        for id, closure in self.hung.items():
            path = f"/v1/installations/{id}"
            document = self.client.get(path).get_json()
            assert (document["revision"], document["visits"]) == (closure.revision, closure.visits)
            assert set(lying(document)) == set(closure.splices)
            records = self.client.get(f"{path}/splice-records?limit=500").get_json()["items"]
            assert len(records) == closure.records
            verdict = self.client.get(f"{path}/acceptance?{LIMIT}").get_json()
            measured = {number for number in closure.good if number in closure.splices}
            failing = sorted(number for number in measured if not closure.good[number])
            assert [each["splice"] for each in verdict["splices"]] == sorted(measured)
            assert verdict["failing"] == failing

    @invariant()
    def the_stock_adds_up_and_the_neighbours_have_nothing(self) -> None:
        """From what was counted and the orders' lines; looked at after every fifth step."""
        if self.steps % 5:
            return
        for level in self.client.get("/v1/stock?limit=500").get_json()["items"]:
            assert level["on_hand"] >= level["held"] >= 0
        level = self.client.get(f"/v1/stock/{COUNTED}").get_json()
        if "on_hand" in level:
            moved, held = self.moved()
            assert (level["on_hand"], level["held"]) == (self.counted + moved, held)
        for kind in ("plans", "orders", "installations", "takeoffs", "stock", "trays"):
            assert self.neighbours.get(f"/v1/{kind}").get_json()["items"] == []


DRAWN = settings(
    max_examples=LIVES * TIMES,
    stateful_step_count=STEPS,
    deadline=None,
    # Lives are long: what fails is told as it was drawn, not made smaller for minutes.
    phases=(Phase.explicit, Phase.generate),
    suppress_health_check=list(HealthCheck),
)


def test_a_life_goes_as_the_model_says() -> None:
    """Whatever is drawn, the service says at every step what the model says, and nothing to another team."""
    run_state_machine_as_test(Life, settings=DRAWN)

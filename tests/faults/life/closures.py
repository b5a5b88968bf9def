"""Closures that hang: what is added, recorded, taken out and given up, and what is measured."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import multiple, rule

from tests.api.hung import lying
from tests.api.test_installations_at_once import ribbon
from tests.faults.life.served import Hung, Served

Document = dict[str, Any]
RIBBONS = st.integers(1, 3)
GOOD_DB, BAD_DB = 0.05, 0.9
LIMIT = "splice_db=0.2"


class Closures(Served):
    """The part of a life that is about hung closures."""

    @rule(target=Served.closure_ids, plan=st.one_of(Served.plan_ids, Served.addition_ids))
    def closure_hung(self, plan: str) -> str:
        """A plan's closure hangs once; an addition's hangs already."""
        answer = self.client.post("/v1/installations", json={"plan": plan})
        before = [id for id, closure in self.hung.items() if closure.plan == plan]
        if plan not in self.plans or plan in self.additions:
            assert answer.status_code == 422, answer.data
        elif before:
            assert answer.status_code == 409
        else:
            assert answer.status_code == 201, answer.data
            document = answer.get_json()
            self.hung[document["id"]] = Hung(plan, name=self.plans[plan], splices=dict.fromkeys(lying(document), 1))
            found: str = document["id"]
            return found
        return before[0] if before else "0" * 32

    @rule(target=Served.addition_ids, id=Served.closure_ids, number=RIBBONS, apply=st.booleans(), stale=st.booleans())
    def added_to(self, id: str, number: int, apply: bool, stale: bool) -> Any:
        """More is planned into a closure, at once recorded or not; what is spliced already is spliced no more."""
        closure = self.hung.get(id)
        headers = {"If-Match": f'"{closure.revision + stale if closure else 1}"'}
        path = f"/v1/installations/{id}/additions?apply={str(apply).lower()}"
        answer = self.client.post(path, json=ribbon(number), headers=headers)
        if closure is None:
            assert answer.status_code == 404
        elif stale:
            assert answer.status_code == 412
        elif closure.given_up or number in closure.splices.values():
            assert answer.status_code == 422, answer.data
        else:
            assert answer.status_code == 201, answer.data
            plan: str = answer.get_json()["id"]
            self.plans[plan], self.additions[plan] = answer.get_json().get("name", ""), (id, closure.revision)
            if apply:
                self._recorded(id, plan)
            return plan
        return multiple()

    @rule(plan=Served.addition_ids)
    def addition_carried_out(self, plan: str) -> None:
        """As it was planned, once, and only while the closure is as it was then."""
        id, revision = self.additions[plan]
        answer = self.client.post(f"/v1/installations/{id}/visits", json={"plan": plan})
        closure = self.hung.get(id)
        if closure is None:
            assert answer.status_code == 404
        elif plan not in self.plans:
            assert answer.status_code == 422, answer.data
        elif closure.revision != revision:
            assert answer.status_code == 409
        else:
            assert answer.status_code == 200, answer.data
            self._recorded(id, plan)

    def _recorded(self, id: str, plan: str) -> None:
        closure = self.hung[id]
        now = lying(self.client.get(f"/v1/installations/{id}").get_json())
        (new,) = set(now) - set(closure.splices)
        assert new not in closure.good, "a number of a splice is not used twice"
        assert set(closure.splices) < set(now)
        closure.splices[new] = now[new][3]["ribbon"]
        closure.revision += 1
        closure.visits += 1

    @rule(id=Served.closure_ids, which=st.integers(0, 3), stale=st.booleans())
    def splice_taken_out(self, id: str, which: int, stale: bool) -> None:
        """A splice that lies there is taken out, and only by who knows the closure as it is."""
        closure = self.hung.get(id)
        number = sorted(closure.splices)[which] if closure and which < len(closure.splices) else 900 + which
        headers = {"If-Match": f'"{closure.revision + stale if closure else 1}"'}
        answer = self.client.post(f"/v1/installations/{id}/removals", json={"splices": [number]}, headers=headers)
        if closure is None:
            assert answer.status_code == 404
        elif stale:
            assert answer.status_code == 412
        elif number not in closure.splices:
            assert answer.status_code == 422
        else:
            assert answer.status_code == 200, answer.data
            del closure.splices[number]
            closure.revision += 1
            closure.visits += 1

    @rule(id=Served.closure_ids)
    def cable_given_up(self, id: str) -> None:
        """With B, all splices are gone, since each has an end of it; it cannot be given up twice."""
        closure = self.hung.get(id)
        answer = self.client.post(f"/v1/installations/{id}/abandonments", json={"cable": "B"})
        if closure is None:
            assert answer.status_code == 404
        elif closure.given_up:
            assert answer.status_code == 422
        else:
            assert answer.status_code == 200, answer.data
            assert lying(answer.get_json()) == {}
            closure.splices, closure.given_up = {}, True
            closure.revision += 1
            closure.visits += 1

    @rule(id=Served.closure_ids, which=st.integers(0, 3), good=st.booleans())
    def splice_measured(self, id: str, which: int, good: bool) -> None:
        """Of what lies there, and of each the last figure counts; records are added and change nothing else."""
        closure = self.hung.get(id)
        number = sorted(closure.splices)[which] if closure and which < len(closure.splices) else 900 + which
        loss = {"loss_db": GOOD_DB if good else BAD_DB, "wavelength_nm": 1550}
        record = {"splice": number, "remakes": 0, "losses": [loss]}
        answer = self.client.post(f"/v1/installations/{id}/splice-records", json={"records": [record]})
        if closure is None:
            assert answer.status_code == 404
        elif number not in closure.splices:
            assert answer.status_code == 422
        else:
            assert answer.status_code == 201, answer.data
            closure.good[number] = good
            closure.records += 1

    @rule(id=Served.closure_ids, name=st.sampled_from(["east", "west"]), stale=st.booleans())
    def closure_renamed(self, id: str, name: str, stale: bool) -> None:
        """By who has read it as it is."""
        closure = self.hung.get(id)
        headers = {"If-Match": f'"{closure.revision + stale if closure else 1}"'}
        answer = self.client.put(f"/v1/installations/{id}", json={"name": name}, headers=headers)
        if closure is None:
            assert answer.status_code == 404
            return
        assert answer.status_code == (412 if stale else 200), answer.data
        if not stale:
            closure.name = name
            closure.revision = answer.get_json()["revision"]

    @rule(id=Served.closure_ids)
    def closure_taken_down(self, id: str) -> None:
        """With its visits and records; the plan can be hung again."""
        answer = self.client.delete(f"/v1/installations/{id}", headers={"If-Match": "*"})
        assert answer.status_code == (204 if self.hung.pop(id, None) else 404)

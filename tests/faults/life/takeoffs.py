"""Takeoffs that are sent under keys, worked on, ordered, cancelled and removed."""

from __future__ import annotations

import json

from hypothesis import strategies as st
from hypothesis.stateful import rule

from tests.api.sent_takeoffs import sent, work
from tests.faults.life.served import Served
from tests.faults.written import lines


class Takeoffs(Served):
    """The part of a life that is about takeoffs."""

    @rule(target=Served.takeoff_ids, key=st.sampled_from("tuv"), points=st.integers(1, 2))
    def takeoff_sent(self, key: str, points: int) -> str:
        """A key gives one takeoff for one body, and none for another."""
        body = [json.loads(line) for line in lines().splitlines()[:points]]
        answer = sent(self.client, body, key=key)
        known = self.keys.get(key)
        if known is None:
            assert answer.status_code == 202, answer.data
            found: str = answer.get_json()["id"]
            self.takeoffs[found], self.keys[key] = "running", (str(points), found)
            return found
        if known[0] != str(points):
            assert answer.status_code == 422
        elif known[1] in self.takeoffs:
            assert (answer.status_code, answer.get_json()["id"]) == (202, known[1])
        else:
            assert answer.status_code == 404
        return known[1]

    @rule()
    def worked_on(self) -> None:
        """What is at work comes to its end; what was cancelled stays as it was."""
        work(self.store)
        self.takeoffs = {id: "finished" if state == "running" else state for id, state in self.takeoffs.items()}

    @rule(takeoff=Served.takeoff_ids)
    def takeoff_removed(self, takeoff: str) -> None:
        """At work it is cancelled; when it has ended it is removed, unless an order that is not over is made of it."""
        answer = self.client.delete(f"/v1/takeoffs/{takeoff}", headers={"If-Match": "*"})
        state = self.takeoffs.get(takeoff)
        if state is None:
            assert answer.status_code == 404
        elif state == "running":
            assert answer.status_code == 204
            self.takeoffs[takeoff] = "cancelled"
        elif self.at_work(takeoff):
            assert answer.status_code == 409
        else:
            assert answer.status_code == 204
            del self.takeoffs[takeoff]

"""Eight crews add to one closure over HTTP at once, on either database: nothing written over, no slot taken twice."""

from __future__ import annotations

from collections import Counter
from typing import Any

from tests.api.hung import lying, path_of, slots
from tests.api.test_orders_at_once import CLIENTS, Answer, at_once, port, send

__all__ = ["port"]
Document = dict[str, Any]
ROUNDS = 2
FIRST: Document = {
    "closures": ["dome-48"],
    "cables": [{"tag": "A", "cable": "flat-288"}, {"tag": "B", "cable": "roll-288"}],
    "joints": [{"from": {"cable": "A", "ribbons": "1"}, "to": {"cable": "B", "ribbons": "1"}}],
}


def ribbon(number: int) -> Document:
    """An addition that joins one more ribbon of A to that of B."""
    side = {"ribbons": str(number)}
    return {"joints": [{"from": {"cable": "A", **side}, "to": {"cable": "B", **side}}], "by": f"ribbon {number}"}


def hung(port: int) -> Document:
    """A closure that hangs with one ribbon spliced."""
    plan = send(port, "POST", "/v1/plans", FIRST)[1]["id"]
    status, installation = send(port, "POST", "/v1/installations", {"plan": plan})
    assert status == 201
    return installation


def test_eight_crews_write_over_nothing(port: int) -> None:
    """Each sends again what another overtook; every acknowledged ribbon lies there once, in a slot of its own."""
    installation = hung(port)

    def work(number: int) -> Answer:
        for turn in range(ROUNDS):
            body = ribbon(2 + number * ROUNDS + turn)
            while True:
                status, plan = send(port, "POST", path_of(installation, "/additions?apply=true"), body)
                if status != 409:
                    break
                assert plan["type"] == "/problems/changed-meanwhile"
            assert (status, plan["fits"]) == (201, True)
            acknowledged.append((plan["installation"]["visit"], body["by"], plan["id"]))
        return status, plan

    acknowledged: list[tuple[int, str, str]] = []
    at_once(work)
    now = send(port, "GET", path_of(installation))[1]
    visits = send(port, "GET", path_of(installation, "/visits?limit=500"))[1]["items"]
    assert {(each["number"], each["by"], each["plan"]) for each in visits[:-1]} == set(acknowledged)
    assert len(acknowledged) == CLIENTS * ROUNDS
    assert set(Counter(slots(now)).values()) == {1}
    ends = [(place[3]["ribbon"], place[4]["ribbon"]) for place in lying(now).values()]
    assert sorted(ends) == [(number, number) for number in range(1, CLIENTS * ROUNDS + 2)]
    assert now["revision"] == now["visits"] == CLIENTS * ROUNDS + 1


def test_eight_crews_with_one_addition_record_it_once(port: int) -> None:
    """One is answered 201; the ends that the others ask for are spliced by then, or somebody was quicker."""
    installation = hung(port)
    answers = at_once(lambda number: send(port, "POST", path_of(installation, "/additions?apply=true"), ribbon(2)))
    assert Counter(status for status, _ in answers)[201] == 1
    assert {status for status, _ in answers} <= {201, 409, 422}
    assert send(port, "GET", path_of(installation))[1]["splices"] == 2

"""Eight crews at one closure at once, on either database: every acknowledged visit is there, none written over."""

from __future__ import annotations

from service.domain.installation import Installation
from service.store import AdditionPlan, Changed, HungAlready, Store
from tests.hung_closures import an_id, contents, hung, one_more
from tests.store.plan_rows import new_key, new_plan
from tests.store.test_orders_at_once import CLIENTS, at_once

VISITS = 5


def hang(store: Store) -> Installation:
    """A closure without a splice."""
    installation, visit = hung(contents=contents(0))
    store.installations.hang(installation, visit)
    return installation


def insisted(own: Store, id: str, by: str, with_plan: bool) -> int:
    """Record one more splice, worked out anew as often as somebody else was quicker; the number of the visit."""
    while True:
        before = own.installations.get(id)
        change = one_more(before, by)
        try:
            if with_plan:
                addition = AdditionPlan(new_plan(own.snapshot(), id=an_id()), before, frozenset())
                own.installations.keep_plan(addition, change)
            else:
                own.installations.change(change)
        except Changed:
            continue
        return change.visit.number


def test_eight_crews_write_over_nothing(store: Store, url: str) -> None:
    """Forty visits come to forty splices in forty slots; every number acknowledged is the visit of who got it."""
    id = hang(store).id

    def work(own: Store, number: int) -> list[tuple[int, str]]:
        by = f"Crew {number}"
        return [(insisted(own, id, by, with_plan=turn % 2 == 0), by) for turn in range(VISITS)]

    acknowledged = dict(pair for pairs in at_once(url, work) for pair in pairs)
    found = store.installations.get(id)
    visits = store.installations.visits(id, 500)
    assert {visit.number: visit.by for visit in visits[:-1]} == acknowledged
    assert len(acknowledged) == CLIENTS * VISITS
    slots = {(splice.position, splice.bank, splice.slot) for splice in found.contents.splices}
    assert len(slots) == len(found.contents.splices) == CLIENTS * VISITS
    assert found.revision == found.contents.visits == CLIENTS * VISITS + 1
    assert [visit.splices for visit in visits[:-1]] == [(visit.number - 1,) for visit in visits[:-1]]
    recorded = [store.plan(each.id).planned_for for each in store.plans(500)]
    assert len({planned.visit for planned in recorded if planned}) == len(recorded) == CLIENTS * 3


def test_eight_requests_hang_a_plan_once(store: Store, url: str) -> None:
    """One of them gets it; the others are told which closure hangs by it."""
    plan = an_id()

    def work(own: Store, number: int) -> str:
        installation, visit = hung(plan)
        try:
            own.installations.hang(installation, visit)
        except HungAlready as refusal:
            return refusal.installation
        return installation.id

    assert len(set(at_once(url, work))) == 1
    assert len(store.installations.listed()) == 1


def test_eight_requests_with_one_key_record_one_visit(store: Store, url: str) -> None:
    """Sent again while the first is still on its way, a visit is recorded once."""
    before = hang(store)

    def work(own: Store, number: int) -> bool:
        return own.installations.change(one_more(before), idempotency=new_key(body=b"{}")) is None

    assert sum(at_once(url, work)) == 1
    assert len(store.installations.visits(before.id)) == 2

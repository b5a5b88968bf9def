"""Teams in one database: whose a connection's rows are, and the way of the schema there and back."""

from __future__ import annotations

from decimal import Decimal

import pytest
from sqlalchemy import delete, select, text, update
from sqlalchemy.orm import aliased

from service.domain.order import Item
from service.store import AnyRevision, NotFound, Store
from service.store.orders.tables import OrderRow
from service.store.preconditions import Absent
from service.store.tables import EntryRow, PlanRow
from service.store.teams import EVERY_TEAM, bound, mine
from tests import catalogue_documents as documents
from tests.store.plan_rows import new_key, new_plan
from tests.watched_statements import teamless


def two(store: Store) -> tuple[Store, Store]:
    """The default team's store and north's, each with the whole catalogue and a counted item."""
    north = store.for_team(store.access.made_team("north").id)
    for each in (store, north):
        each.put_catalogue(documents.whole(), AnyRevision())
        code = documents.whole()["sleeves"][0]["code"]
        each.stock.put(Item("sleeve", code), Decimal(10), Absent())
    return store, north


def test_a_connection_that_is_bound_to_no_team_reaches_no_rows(store: Store) -> None:
    """Reading and adding fail before anything is sent, and a row of all teams cannot be."""
    with store._database.engines.writing() as connection:
        with pytest.raises(LookupError):
            mine(connection, PlanRow)
        with pytest.raises(Exception, match="bound to no team"):
            connection.execute(EntryRow.__table__.insert(), {"kind": "trays", "code": "a"})
    with store._database.engines.writing() as connection, pytest.raises(Exception, match="one team, not to all"):
        bound(connection, EVERY_TEAM).execute(EntryRow.__table__.insert(), {"kind": "trays", "code": "a"})


def test_the_store_of_a_team_is_one_and_keeps_its_own_catalogue(store: Store) -> None:
    """Asked for twice it is the same; what one team changes moves no revision of another's."""
    default, north = two(store)
    assert default.for_team(north.team) is north and north.for_team(default.team) is default
    before = default.snapshot()
    north.delete_entry("materials", documents.whole()["materials"][0]["code"], AnyRevision())
    assert (default.snapshot(), default.catalogue_revision(), north.catalogue_revision()) == (before, 1, 2)
    assert len(north.snapshot().materials) == len(before.materials) - 1
    assert default.cursor_key() != north.cursor_key()


def test_a_key_is_each_teams_own(store: Store) -> None:
    """Two teams use one key for two plans, and neither gets the other's answer."""
    default, north = two(store)
    for each in (default, north):
        plan, key = new_plan(each.snapshot()), new_key("lot", request_hash=f"of {each.team}")
        assert each.add_plan(plan, each.snapshot(), idempotency=key) is None
        answer = each.idempotent("lot")
        assert answer is not None and answer.plan_id == plan.id
    assert [each.id for each in default.plans()] != [each.id for each in north.plans()]


def test_the_way_down_keeps_the_default_team_and_the_way_up_gives_it_all(store: Store) -> None:
    """Without teams there is one catalogue, one stock, one list of plans: ``default``'s, and up again its own."""
    default, north = two(store)
    plans = [new_plan(each.snapshot()) for each in (default, north)]
    for each, plan in zip((default, north), plans, strict=True):
        each.add_plan(plan, each.snapshot(), {f"sleeves/{documents.whole()['sleeves'][0]['code']}"})
    before = default.catalogue_document(), default.cursor_key(), default.stock.listed(), default.plans()
    default.downgrade("0010")
    with default._engines.migrating() as connection:
        entries = connection.scalar(text("SELECT count(*) FROM entries"))
        assert entries == sum(map(len, documents.whole().values()))
        assert connection.scalars(text("SELECT id FROM plans")).all() == [plans[0].id]
        assert connection.scalars(text("SELECT id FROM storeroom")).all() == [1]
    default.upgrade()
    assert (default.catalogue_document(), default.cursor_key(), default.stock.listed(), default.plans()) == before
    assert default.plan(plans[0].id).name == plans[0].name
    assert north.catalogue_revision() == 0
    assert north.plans() == [] and north.stock.listed() == []
    with pytest.raises(NotFound):
        north.plan(plans[1].id)
    north.put_catalogue(documents.whole(), AnyRevision())


def test_the_watch_over_statements_sees_what_is_forgotten() -> None:
    """A select, a join, a subquery, an alias, an update and a delete without the team are each named."""
    said = PlanRow.team == 1
    later = aliased(PlanRow.__table__)
    assert set(teamless(select(PlanRow.id).where(said, PlanRow.id == "a"))) == set()
    assert set(teamless(select(PlanRow.id).where(PlanRow.id == "a"))) == {"plans"}
    assert set(teamless(select(PlanRow.id, PlanRow.team))) == {"plans"}
    assert set(teamless(select(PlanRow.id).join(OrderRow, OrderRow.name == PlanRow.name).where(said))) == {"orders"}
    assert set(teamless(select(PlanRow.id).where(said, PlanRow.name.in_(select(OrderRow.name))))) == {"orders"}
    assert set(teamless(select(later.c.id))) == {"plans"}
    assert set(teamless(delete(PlanRow).where(PlanRow.id == "a"))) == {"plans"}
    assert set(teamless(update(OrderRow).where(OrderRow.id == "a").values(state="placed"))) == {"orders"}

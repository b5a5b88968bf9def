"""Retired entries of which something hangs: in the catalogue of whoever looks into that closure, and of nobody else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.domain.request import CableAtPoint, ExistingTray, HangingCable, PlanRequest
from service.store import AnyRevision, Snapshot, Store, as_hung
from service.store.hanging_entries import as_asked
from tests.catalogue_documents import whole
from tests.hung_closures import contents

RETIRED = ("closures", "trays", "cables")


@pytest.fixture
def names(store: Store) -> dict[str, str]:
    """A closure of the catalogue, a tray that it takes, and a cable; all are retired by the first test's doing."""
    store.put_catalogue(whole(), AnyRevision())
    snapshot = store.snapshot()
    closure = next(iter(snapshot.closures.values()))
    return {"closures": closure.code, "trays": closure.trays[0].tray, "cables": next(iter(snapshot.cables))}


def retired(store: Store, names: dict[str, str]) -> Snapshot:
    """The catalogue with these entries retired."""
    for kind in RETIRED:
        code = names[kind]
        store.put_entry(kind, code, {**store.entry(kind, code).document, "retired": True}, AnyRevision())
    return store.snapshot()


def request(names: dict[str, str], trays: int = 2) -> PlanRequest:
    """Work in the closure with so many trays of the model, and the cable hanging."""
    cable = CableAtPoint("A", names["cables"], hanging=HangingCable(("x-1",)))
    return PlanRequest(
        (cable,), (), closures=(names["closures"],), existing_trays=(ExistingTray(names["trays"]),) * trays
    )


def test_what_hangs_is_in_the_catalogue_of_its_closure(store: Store, names: dict[str, str]) -> None:
    """As it was before it was retired, but that no tray of the retired model may be added."""
    before, after = store.snapshot(), retired(store, names)
    inside = contents()
    tray, cable = replace(inside.trays[0], tray=names["trays"]), replace(inside.cables[0], cable=names["cables"])
    inside = replace(inside, closure=names["closures"], trays=(tray,) * 2, cables=(cable,))
    for found in (as_hung(after, inside), as_asked(after, request(names))):
        assert found.trays[names["trays"]] == before.trays[names["trays"]]
        assert found.cables[names["cables"]] == before.cables[names["cables"]]
        closure, was = found.closures[names["closures"]], before.closures[names["closures"]]
        assert replace(closure, trays=was.trays) == was
        assert [each.most for each in closure.trays if each.tray == names["trays"]] == [2]
        assert closure.trays[1:] == was.trays[1:]
        assert list(found.trays) == sorted(found.trays)
        assert names["trays"] not in after.trays


def test_other_plans_do_not_see_what_is_retired(store: Store, names: dict[str, str]) -> None:
    """Nor does a request that brings a cable of a retired entry rather than finding it there."""
    after = retired(store, names)
    fresh = replace(request(names), existing_trays=())
    assert as_asked(after, fresh) is after
    bare = request(names)
    brought = replace(bare, cables=(replace(bare.cables[0], hanging=None),))
    assert names["cables"] not in as_asked(after, brought).cables


def test_where_nothing_is_retired_the_catalogue_is_the_same_object(store: Store, names: dict[str, str]) -> None:
    """What was derived from it is not derived anew."""
    snapshot = store.snapshot()
    assert as_asked(snapshot, request(names)) is snapshot


def test_retired_entries_come_and_go_with_the_revisions(store: Store, names: dict[str, str]) -> None:
    """The catalogue as of an earlier revision has those that were retired then."""
    first = store.catalogue_revision()
    after = retired(store, names)
    assert set(after.retired_entries) == after.retired == {f"{kind}/{names[kind]}" for kind in RETIRED}
    assert store.snapshot_as_of(first).retired_entries == {}
    assert store.snapshot_as_of(after.catalogue_revision) == after

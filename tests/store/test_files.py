"""What files need of the store, on both databases: a catalogue put once, tried, and splice points with their places."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import inspect

from service.domain.map_point import MapPoint
from service.store import (
    Absent,
    AnyRevision,
    AuditFilter,
    CatalogueChange,
    IdempotencyKey,
    Revision,
    Stale,
    Store,
    StoredAnswer,
)
from service.store.moments import utc_now
from tests import catalogue_documents as documents
from tests.store.takeoff_rows import demand, new_takeoff, point


def key(change: CatalogueChange, hash: str = "a") -> IdempotencyKey:
    """A key whose answer tells what was changed."""
    now = utc_now()
    return IdempotencyKey("spring", hash, 200, now, now + timedelta(hours=24), str(change.revision).encode())


def with_price(price: str) -> dict[str, Any]:
    """The whole catalogue with one price in it."""
    whole = documents.whole()
    whole["sleeves"][0] |= {"price": price}
    return whole


def test_a_catalogue_under_a_key_is_put_once(store: Store) -> None:
    """The second of two requests changes nothing, gets the first one's answer, and leaves no record of a change."""
    store.put_catalogue(documents.whole(), Absent())
    first = store.put_catalogue_once(with_price("1.00"), Revision(1), key)
    assert isinstance(first, CatalogueChange) and first.revision == 2
    recorded = store.audit.listed(500, None, AuditFilter())
    second = store.put_catalogue_once(with_price("2.00"), Revision(2), key)
    assert isinstance(second, StoredAnswer) and second.body == b"2"
    assert store.catalogue_revision() == 2
    assert store.entry("sleeves", documents.whole()["sleeves"][0]["code"]).document["price"] == "1.00"
    assert store.audit.listed(500, None, AuditFilter()) == recorded


def test_what_is_tried_is_told_and_not_done(store: Store) -> None:
    """The same lists as the change itself gives, at the revision that stands; a stale one is refused."""
    store.put_catalogue(documents.whole(), Absent())
    tried = store.try_catalogue(with_price("1.00"), Revision(1))
    assert (tried.revision, store.catalogue_revision()) == (1, 1)
    done = store.put_catalogue(with_price("1.00"), AnyRevision())
    assert tried.changed == done.changed != ()
    with pytest.raises(Stale):
        store.try_catalogue(with_price("1.00"), Revision(1))


PLACES = [MapPoint(-4.486200123456789, 54.1516), MapPoint(180.0, -90.0, -12.5), None]


def test_a_splice_point_keeps_its_place(store: Store) -> None:
    """To the last digit, with its height or without one, or none at all."""
    takeoff = new_takeoff()
    store.takeoffs.begin(takeoff)
    points = [point(place, 1, position=each) for place, each in enumerate(PLACES, 1)]
    store.takeoffs.add_batch(takeoff.id, points, [demand(1)])
    assert [each.point.position for each in store.takeoffs.points(takeoff.id)] == PLACES


def test_splice_points_outlast_the_way_down_and_up(store: Store) -> None:
    """Their places are lost on the way down, which has no column for them; the points are not."""
    takeoff = new_takeoff()
    store.takeoffs.begin(takeoff)
    store.takeoffs.add_batch(takeoff.id, [point(1, 1, position=PLACES[0])], [demand(1)])
    store.downgrade("0012")
    with store._engines.looking() as connection:
        assert "position" not in {each["name"] for each in inspect(connection).get_columns("takeoff_points")}
    store.upgrade()
    (found,) = store.takeoffs.points(takeoff.id)
    assert (found.point.name, found.point.position) == ("point 1", None)

"""What must stand after a run of kills beside what has an id of its own: visits, records, entries, stock, tokens."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal

from service.domain.access import Token
from service.domain.order import Item
from service.store import Store
from tests.faults.acknowledged import Acknowledged


def unkept(store: Store, told: Iterable[Acknowledged]) -> list[str]:
    """Every difference between what was acknowledged of these and what the database holds, in words."""
    return [
        fault for each in told for fault in (*_contents(store, each), *_entries(store, each), *_tokens(store, each))
    ]


def _contents(store: Store, told: Acknowledged) -> Iterator[str]:
    for id in set(told.installations.values()) - told.removed:
        standing, place = store.installations.get(id), told.places.get(id)
        visits = [(each.kind, each.plan) for each in reversed(store.installations.visits(id, 500))]
        yield from _differs(f"visits of {id}", visits, told.visits[id])
        records = [each.record.who for each in store.records.page(id, 500)]
        # Each time two splices were measured, and they are listed by splice.
        yield from _differs(f"records of {id}", records, told.records[id] * 2)
        if place is not None:
            yield from _differs(f"the place of {id}", standing.place.name, place)
        revision = len(told.visits[id]) + (place is not None)
        yield from _differs(f"the revision of {id}", standing.revision, revision)
    for id in told.removed & set(told.installations.values()):
        yield from _differs(f"records of {id}, which is gone", store.records.page(id, 500), [])


def _entries(store: Store, told: Acknowledged) -> Iterator[str]:
    trays = {each["code"]: each["title"] for each in store.catalogue_document()[0]["trays"]}
    own = {thing.item for thing in told.history if thing.kind == "trays"}
    standing = {code: trays[code] for code in own if code in trays}
    yield from _differs("titles of trays", standing, told.titles)
    for code, count in told.counts.items():
        level = store.stock.get(Item("tray", code))
        yield from _differs(f"stock of {code}", (level.on_hand, level.held), (Decimal(count), Decimal(0)))


def _tokens(store: Store, told: Acknowledged) -> Iterator[str]:
    # A request without a key may have made one that nobody was told of: those are left out.
    tokens = {each.id: each for each in _all_tokens(store)}
    for id, name in told.tokens.items():
        found = (tokens[id].name, tokens[id].revoked is not None) if id in tokens else None
        yield from _differs(f"token {id}", found, (name, id in told.revoked))


def _all_tokens(store: Store) -> Iterator[Token]:
    team, after = store.access.team("default"), None
    while page := store.access.listed(team, 500, after):
        yield from page
        after = (page[-1].created, page[-1].id)


def _differs(what: str, found: object, acknowledged: object) -> Iterator[str]:
    if found != acknowledged:
        yield f"{what}: {found}, acknowledged was {acknowledged}"

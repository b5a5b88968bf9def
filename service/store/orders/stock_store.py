"""The stock as the rest of the service sees it: read, and counted anew by people."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from sqlalchemy import Connection, select

from service.domain.order import Item, ItemKind, StockLevel
from service.store.engines import Engines
from service.store.errors import NotFound
from service.store.orders import stock
from service.store.preconditions import Expectation, hold
from service.store.snapshots import current_revision
from service.store.tables import EntryRow
from service.store.teams import mine
from service.store.text import keepable
from service.store.usage import mark_used

SECTIONS: dict[ItemKind, str] = {
    "closure": "closures",
    "tray": "trays",
    "sleeve": "sleeves",
    "material": "materials",
}
"""The section of the catalogue that each kind of item stands in."""


@dataclass(frozen=True, slots=True)
class StockPut:
    """A level as it stands after it was counted; ``created``: there was never any of the item before."""

    level: StockLevel
    created: bool


class StockStore:
    """The stock of one database."""

    def __init__(self, engines: Engines) -> None:
        self._engines = engines

    def kinds(self, code: str) -> list[ItemKind]:
        """The kinds of items that a code stands for, in the catalogue or in stock."""
        with self._engines.reading() as connection:
            found = {level.item.kind for level in stock.of_code(connection, code)}
            found.update(kind for kind in SECTIONS if _in_catalogue(connection, Item(kind, code)))
        return sorted(found)

    def get(self, item: Item) -> StockLevel:
        """What lies in the store of an item; raises ``NotFound`` where there was never any."""
        with self._engines.reading() as connection:
            return stock.fetch(connection, item)

    def listed(
        self, limit: int = 100, after: tuple[str, str] | None = None, kind: str | None = None
    ) -> list[StockLevel]:
        """Up to ``limit`` levels by code and kind, from behind the code and kind ``after``."""
        with self._engines.reading() as connection:
            return stock.listed(connection, limit, after, kind)

    def put(self, item: Item, on_hand: Decimal, expect: Expectation) -> StockPut:
        """Say how much of an item there is; what orders hold stays held. The same again makes no new revision.

        Raises ``Exists``, ``NotFound`` or ``Stale`` by ``expect``, ``NotFound`` where the catalogue has no such item,
        and ``Held`` where orders hold more than ``on_hand``. The item can be retired from now on but not removed.
        """
        with self._engines.writing() as connection:
            stock.lock(connection)
            known = stock.levels(connection, [item]).get(item)
            hold(expect, None if known is None else known.revision, f"stock of {item.code}")
            if known is not None and known.on_hand == on_hand:
                return StockPut(known, created=False)
            if known is None:
                # Behind the catalogue's lock, so that the entry cannot be removed in between.
                current_revision(connection, lock=True)
                if not _in_catalogue(connection, item):
                    raise NotFound(f"The catalogue has no {item.kind} {item.code}.")
                mark_used(connection, [f"{SECTIONS[item.kind]}/{item.code}"])
            held = Decimal(0) if known is None else known.held
            level = StockLevel(item, on_hand, held, 1 if known is None else known.revision + 1)
            stock.write(connection, level)
            return StockPut(level, created=known is None)


def _in_catalogue(connection: Connection, item: Item) -> bool:
    if not keepable(item.code):
        return False
    this = (mine(connection, EntryRow), EntryRow.kind == SECTIONS[item.kind], EntryRow.code == item.code)
    return connection.scalars(select(EntryRow.code).where(*this)).one_or_none() is not None

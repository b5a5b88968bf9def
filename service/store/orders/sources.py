"""What orders are made from stays while they stand: until the material is handed out it is looked at point by point."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import Connection, column, select, table

from service.domain.faults import Fault, Refused
from service.domain.order import OrderState
from service.store.orders import rows, stock
from service.store.orders.errors import InOrder
from service.store.tables import PlanRow
from service.store.teams import mine
from service.store.text import keepable

_OVER: tuple[OrderState, ...] = ("issued", "withdrawn")
"""Orders in these states outlast their sources; their own lines say what each source asked for."""

# Takeoffs ask here before they are removed, so this module cannot import theirs.
_TABLES = {"plan": PlanRow.__table__, "takeoff": table("takeoffs", column("id"), column("team"))}


def insist_on_removable(connection: Connection, kind: str, source: str) -> None:
    """Raise ``InOrder`` where a plan or takeoff is in an order that stands; none is made before this transaction ends.

    To be called before the source is locked: whoever makes an order holds the storeroom first.
    """
    stock.lock(connection)
    found = rows.ordered(connection, [(kind, source)], over=_OVER) if keepable(source) else ()
    if found:
        raise InOrder(found[0])


def insist_on_present(connection: Connection, places: Mapping[tuple[str, str], str]) -> None:
    """Raise ``Refused`` where a source (kind, id) was removed since it was added up; ``places`` has its pointer."""
    faults = []
    for (kind, source), pointer in places.items():
        its = _TABLES[kind]
        query = select(its.c.id).where(mine(connection, its), its.c.id == source)
        if connection.scalars(query).one_or_none() is None:
            faults.append(Fault(pointer, f"unknown_{kind}", f"There is no {kind} {source}."))
    if faults:
        raise Refused(faults)

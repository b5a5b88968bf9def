"""Orders and the stock that they move.

::

    store.stock.put(Item("sleeve", "rs-12"), Decimal(500), Absent())
    order = store.orders.make(draft)
    store.orders.move(order.id, "placed", AnyRevision())
"""

from service.store.orders.errors import Held, InOrder, NotInState, Ordered, OrderedAlready
from service.store.orders.facade import OrderStore
from service.store.orders.rows import OrderFilter
from service.store.orders.stock_store import SECTIONS, StockPut, StockStore

__all__ = [
    "SECTIONS",
    "Held",
    "InOrder",
    "NotInState",
    "OrderFilter",
    "OrderStore",
    "Ordered",
    "OrderedAlready",
    "StockPut",
    "StockStore",
]

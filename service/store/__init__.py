"""Where the catalogue and the plans are kept: SQLite or PostgreSQL, by SQLAlchemy.

::

    store = open_store("sqlite:///traywright.db")
    store.upgrade()
    store.put_catalogue(document, AnyRevision())
    snapshot = store.snapshot()
"""

from service.store.access import USED_EVERY, AccessStore, HeldToken
from service.store.audit import AuditFilter, AuditStore, acts
from service.store.entries import StoredEntry
from service.store.errors import (
    Busy,
    Damaged,
    Exists,
    Full,
    NotFound,
    NotMigrated,
    SchemaMismatch,
    SchemaTooNew,
    Stale,
    StoreError,
    Unavailable,
)
from service.store.hanging_entries import as_hung
from service.store.idempotency import IdempotencyKey, StoredAnswer
from service.store.installations import (
    AdditionPlan,
    Change,
    Changed,
    HungAlready,
    InstallationFilter,
    InstallationStore,
    Near,
)
from service.store.orders import (
    SECTIONS,
    Held,
    InOrder,
    NotInState,
    Ordered,
    OrderedAlready,
    OrderFilter,
    OrderStore,
    StockPut,
    StockStore,
)
from service.store.plans import NewPlan, PlanSummary, StoredPlan
from service.store.preconditions import Absent, AnyRevision, Expectation, Revision
from service.store.records import RecordStore
from service.store.single import PutResult
from service.store.snapshots import Snapshot
from service.store.store import Store, open_store
from service.store.takeoffs import LEASE_S, PointFilter, Queue, TakeoffFilter, TakeoffStore
from service.store.webhooks.facade import OLD_SECRET_KEPT, WebhookStore
from service.store.webhooks.work import Told, WebhookWork
from service.store.whole import CatalogueChange

__all__ = [
    "LEASE_S",
    "OLD_SECRET_KEPT",
    "SECTIONS",
    "USED_EVERY",
    "Absent",
    "AccessStore",
    "AdditionPlan",
    "AnyRevision",
    "AuditFilter",
    "AuditStore",
    "Busy",
    "CatalogueChange",
    "Change",
    "Changed",
    "Damaged",
    "Exists",
    "Expectation",
    "Full",
    "Held",
    "HeldToken",
    "HungAlready",
    "IdempotencyKey",
    "InOrder",
    "InstallationFilter",
    "InstallationStore",
    "Near",
    "NewPlan",
    "NotFound",
    "NotInState",
    "NotMigrated",
    "OrderFilter",
    "OrderStore",
    "Ordered",
    "OrderedAlready",
    "PlanSummary",
    "PointFilter",
    "PutResult",
    "Queue",
    "RecordStore",
    "Revision",
    "SchemaMismatch",
    "SchemaTooNew",
    "Snapshot",
    "Stale",
    "StockPut",
    "StockStore",
    "Store",
    "StoreError",
    "StoredAnswer",
    "StoredEntry",
    "StoredPlan",
    "TakeoffFilter",
    "TakeoffStore",
    "Told",
    "Unavailable",
    "WebhookStore",
    "WebhookWork",
    "acts",
    "as_hung",
    "open_store",
]

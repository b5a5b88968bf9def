"""What is on record of a change: who made it, when, and of what; nothing of what it said."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal, get_args

AuditedKind = Literal[
    "sleeves", "trays", "closures", "cables", "methods", "materials", "stock", "orders", "installations", "tokens"
]
AUDITED: tuple[AuditedKind, ...] = get_args(AuditedKind)
"""What changes are recorded of: entries of the catalogue by section, stock, orders, hung closures, tokens."""

OtherKind = Literal["plans", "takeoffs", "webhooks"]
OTHERS: tuple[OtherKind, ...] = get_args(OtherKind)
"""What is recorded of beside them, in a list of its own: takeoffs begun and cancelled, plans and takeoffs removed,
webhooks. Clients of the first release know the kinds of the other list as all that there are."""

RecordedKind = AuditedKind | OtherKind


@dataclass(frozen=True, slots=True)
class Actor:
    """Who acts: by a token (its id), or by a name for what has none."""

    name: str
    token: str | None = None


@dataclass(frozen=True, slots=True)
class AuditEntry:
    """One change. ``item`` is a code or an id; ``before`` and ``after`` are revisions, None where there was none.

    ``operation`` is a word for what was done, such as ``put``, ``retire``, ``remove``, ``placed``, ``revoke`` or
    ``begin``. ``id`` counts all entries of the database.
    """

    id: str
    created: datetime
    by: Actor
    operation: str
    kind: RecordedKind
    item: str
    before: int | None
    after: int | None

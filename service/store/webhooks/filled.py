"""Telling that a hung closure is full to the share that a webhook has set: when a change takes it past that share.

Both sides of the change are judged by today's catalogue, so each crossing upwards is told once, and told again only
after a change has taken the closure below the share.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from sqlalchemy import Connection

from service.documents.events import closure_filled_to
from service.domain.faults import Refused
from service.domain.installation import Contents, Installation
from service.domain.taken_slots import TakenSlots
from service.planning.hanging.taken_slots import taken_slots
from service.store.hanging_entries import as_hung
from service.store.snapshots import Snapshot
from service.store.webhooks.outbox import listeners, tell

SnapshotNow = Callable[[Connection], Snapshot]
"""The catalogue as a transaction sees it; called only where somebody listens."""


def tell_filled(
    connection: Connection, catalogue: SnapshotNow, before: Contents | None, after: Installation, now: datetime
) -> None:
    """Tell of a change from ``before`` (None: it has just been hung) where it crosses what somebody listens for."""
    listening = listeners(connection, "closure.filled")
    if not listening:
        return
    snapshot = catalogue(connection)
    earlier = TakenSlots(1, 0) if before is None else _taken(before, snapshot)
    taken = _taken(after.contents, snapshot)
    if earlier is None or taken is None:
        return
    for share in sorted({each.full_share for each in listening}):
        if earlier.share < share <= taken.share:
            told = [each.webhook for each in listening if each.full_share == share]
            tell(connection, "closure.filled", closure_filled_to(after, taken, share), told, now)


def _taken(contents: Contents, snapshot: Snapshot) -> TakenSlots | None:
    """The slots that are taken; None where the catalogue cannot say how many there are."""
    try:
        return taken_slots(contents, as_hung(snapshot, contents))
    except Refused:
        return None

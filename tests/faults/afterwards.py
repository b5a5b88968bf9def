"""Everything that must hold after a run, put together."""

from __future__ import annotations

from collections.abc import Sequence

from service.store import Store
from tests.faults.acknowledged import Acknowledged
from tests.faults.held_afterwards import lost_or_doubled, out_of_balance, unfinished
from tests.faults.kept_changes import unkept
from tests.faults.on_record import misrecorded
from tests.faults.opened_again import unreadable


def faults_afterwards(store: Store, told: Sequence[Acknowledged], by: str) -> list[str]:
    """What clients were told wrongly, and every difference to what is there; ``by`` is whose name is on record.

    Takeoffs have come to their end by then: see ``unfinished``, which is looked at while workers are still there.
    """
    wrong = [wrong for each in told for wrong in each.wrong]
    takeoffs = [id for each in told for id in each.takeoffs.values()]
    held = lost_or_doubled(store, told) + unkept(store, told) + out_of_balance(store, told)
    return wrong + held + unreadable(store, takeoffs) + misrecorded(store, told, by)


__all__ = ["faults_afterwards", "unfinished"]

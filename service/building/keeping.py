"""Keeping a chunk's lease alive while a worker is at it."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from types import TracebackType

from service.domain.takeoff import Chunk
from service.store import StoreError
from service.store.takeoffs import TakeoffWork

_log = logging.getLogger(__name__)


class Keeper:
    """Renews a lease from a thread of its own as long as the block runs, three times in the length of a lease.

    ``lost``: another worker has the chunk by now, or it is no longer wanted. A single demand that takes longer than
    ``demand_s`` is taken for one that never ends: the lease is then left to run out and ``stuck`` is called.
    """

    def __init__(
        self, work: TakeoffWork, chunk: Chunk, lease_s: float, demand_s: float, stuck: Callable[[], None]
    ) -> None:
        self.lost = False
        self._work, self._chunk, self._lease_s = work, chunk, lease_s
        self._demand_s, self._stuck = demand_s, stuck
        self._over = threading.Event()
        self._since = time.monotonic()
        self._thread = threading.Thread(target=self._keep, name="lease", daemon=True)

    def next_demand(self) -> None:
        """Say that the worker turns to another demand."""
        self._since = time.monotonic()

    def __enter__(self) -> Keeper:
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._over.set()
        self._thread.join()

    def _keep(self) -> None:
        while not self.lost and not self._over.wait(self._lease_s / 3):
            if time.monotonic() - self._since > self._demand_s:
                _log.error("takeoff %s: a demand of %d to %d does not end", *self._where())
                self._stuck()
                return
            try:
                self.lost = not self._work.renew(self._chunk, self._lease_s)
            except StoreError as error:
                _log.warning("a lease could not be renewed: %s", error)

    def _where(self) -> tuple[str, int, int]:
        return self._chunk.takeoff, self._chunk.first, self._chunk.last

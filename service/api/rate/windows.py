"""Requests counted in windows: a caller's window begins with its first request and ends some seconds later.

A window costs one number a caller, however often it asks, and what is left of it can be told in whole requests and
seconds. At worst it lets pass twice its requests in a row: at the end of one window and the beginning of the next.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from typing import NamedTuple, Protocol

CALLERS_MOST = 10_000
"""So many callers are counted in one process; beyond, the window that began first is forgotten."""


class Counted(NamedTuple):
    """How many requests there were in the caller's window, this one too, and in how many seconds the window ends."""

    requests: int
    left_s: float


class Windows(Protocol):
    """Where requests are counted."""

    def count(self, whose: str) -> Counted:
        """Count a request of this caller."""
        ...


class OwnWindows:
    """Counted in the memory of this process; ``clock`` tells seconds and only goes on."""

    def __init__(self, window_s: int, clock: Callable[[], float]) -> None:
        self._window_s, self._clock = window_s, clock
        self._lock = threading.Lock()
        self._held: OrderedDict[str, tuple[float, int]] = OrderedDict()

    def count(self, whose: str) -> Counted:
        """Count a request of this caller."""
        with self._lock:
            now = self._clock()
            began, requests = self._held.get(whose, (now, 0))
            if now - began >= self._window_s:
                began, requests = now, 0
            if requests == 0:
                # In the order in which they began, so that the first is the oldest.
                self._held.pop(whose, None)
                if len(self._held) >= CALLERS_MOST:
                    self._held.popitem(last=False)
            self._held[whose] = began, requests + 1
        return Counted(requests + 1, began + self._window_s - now)

"""How far a long run is, told to whoever waits for it."""

from __future__ import annotations

import sys
import time

EVERY_S = 30.0


class Progress:
    """Tells on standard error, every half a minute, what it is called with."""

    def __init__(self, name: str) -> None:
        self._name, self._began = name, time.monotonic()
        self._next = self._began + EVERY_S

    def __call__(self, told: str) -> None:
        """It is so far by now."""
        now = time.monotonic()
        if now >= self._next:
            self._next = now + EVERY_S
            print(f"{self._name}, {now - self._began:.0f} s: {told}", file=sys.stderr, flush=True)

"""Failed attempts by address: after a few of them no more is looked at for a while.

A secret of 256 bits is not guessed at any pace. What this is for is that a client with a bad token, or somebody who
tries, costs nothing and is seen. Nothing sleeps and memory is bounded: the addresses that failed longest ago go first.
"""

from __future__ import annotations

import ipaddress
import math
import threading
from collections import OrderedDict
from collections.abc import Callable

MOST = 10
"""So many failures of an address within ``WINDOW_S`` seconds are answered; then it waits until the window ends."""
WINDOW_S = 60.0
_ADDRESSES = 10_000
_NETWORK_BITS = 64


class FailedAttempts:
    """Counts failures by address; ``seconds`` is a clock that only goes on."""

    def __init__(self, seconds: Callable[[], float]) -> None:
        self._seconds = seconds
        self._lock = threading.Lock()
        self._counts: OrderedDict[str, tuple[float, int]] = OrderedDict()

    def wait_s(self, address: str) -> int:
        """For how many seconds nothing more from this address is looked at; 0: now."""
        now = self._seconds()
        with self._lock:
            began, count = self._counts.get(network_of(address), (now, 0))
        left = began + WINDOW_S - now
        return math.ceil(left) if count >= MOST and left > 0 else 0

    def add(self, address: str) -> None:
        """Count a failure of this address."""
        now, whose = self._seconds(), network_of(address)
        with self._lock:
            began, count = self._counts.pop(whose, (now, 0))
            if now - began >= WINDOW_S:
                began, count = now, 0
            self._counts[whose] = began, count + 1
            if len(self._counts) > _ADDRESSES:
                self._counts.popitem(last=False)


def network_of(address: str) -> str:
    """The address itself, or of IPv6 the network that one customer has all of (RFC 6177)."""
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return address
    if parsed.version == 4:
        return address
    return str(ipaddress.ip_network((parsed, _NETWORK_BITS), strict=False))

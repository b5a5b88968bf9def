"""Whether a caller has sent its share, and how that is told.

The header fields are those of sections 3 and 4 of draft-ietf-httpapi-ratelimit-headers-11: ``RateLimit-Policy``
says the share (``q`` requests in ``w`` seconds), ``RateLimit`` what is left of it (``r``) and for how long (``t``).
"""

from __future__ import annotations

import logging
import math
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from service.api.metrics import Metrics
from service.api.problems import Problem
from service.api.rate.shared import NotCounted, SharedWindows
from service.api.rate.windows import Counted, OwnWindows, Windows
from service.settings import Rate, Settings

_log = logging.getLogger(__name__)
_POLICY = '"requests"'
_AGAIN_S = 5.0
"""After a failure Redis is left alone for so long, so that no request waits for it in vain meanwhile."""


@dataclass(frozen=True, slots=True)
class Standing:
    """The rate, the requests that are left of it, and in how many seconds there are all of them again."""

    rate: Rate
    left: int
    again_s: int

    @property
    def headers(self) -> dict[str, str]:
        """The header fields that say so."""
        return {
            "RateLimit-Policy": f"{_POLICY};q={self.rate.requests};w={self.rate.seconds}",
            "RateLimit": f"{_POLICY};r={self.left};t={self.again_s}",
        }


class Limiter:
    """Counts requests. Shared by all threads; ``clock`` tells seconds and only goes on.

    Where requests are counted in Redis and it does not answer, they are let in: to plan without a limit does less harm
    than not to plan. That is logged once for as long as it lasts, and every request that was not counted is counted as
    such in the metrics.
    """

    def __init__(
        self, rate: Rate, windows: Windows, metrics: Metrics, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._rate, self._windows, self._metrics, self._clock = rate, windows, metrics, clock
        self._lock = threading.Lock()
        self._alone_until: float | None = None

    def count(self, kind: str, name: str) -> tuple[Standing | None, Problem | None]:
        """Count a request of a caller (``token`` or ``address``, and which): how it stands, and the 429 if it is over.

        No standing where it could not be counted.
        """
        counted = self._counted(f"{kind}:{name}")
        if counted is None:
            self._metrics.rate_uncounted.inc()
            return None, None
        standing = Standing(
            self._rate, max(0, self._rate.requests - counted.requests), min(self._rate.seconds, _whole(counted.left_s))
        )
        if counted.requests <= self._rate.requests:
            return standing, None
        self._metrics.rate_limited.labels(kind).inc()
        detail = (
            f"This {kind} may send {self._rate.requests} requests in {self._rate.seconds} s. "
            f"Send it again in {standing.again_s} s."
        )
        return standing, Problem("quota-exceeded", detail, headers={"Retry-After": str(standing.again_s)})

    def _counted(self, whose: str) -> Counted | None:
        alone_until = self._alone_until
        if alone_until is not None and self._clock() < alone_until:
            return None
        try:
            counted = self._windows.count(whose)
        except NotCounted as error:
            self._away(str(error))
            return None
        if alone_until is not None:
            self._back()
        return counted

    def _away(self, why: str) -> None:
        with self._lock:
            first, self._alone_until = self._alone_until is None, self._clock() + _AGAIN_S
        if first:
            _log.error("Redis does not count requests (%s): all are let in until it does", why)

    def _back(self) -> None:
        with self._lock:
            first, self._alone_until = self._alone_until is not None, None
        if first:
            _log.warning("Redis counts requests again")


def _whole(seconds: float) -> int:
    """Whole seconds that are never too few, nor none: who comes back then finds a new window."""
    return max(1, math.ceil(seconds))


def limiter_of(settings: Settings, metrics: Metrics) -> Limiter | None:
    """The limiter that the settings ask for; None: they ask for none. Raises ``NoSharedWindows``."""
    rate = settings.rate_limit
    if rate is None:
        return None
    if settings.rate_store:
        return Limiter(rate, SharedWindows(settings.rate_store, rate.seconds), metrics)
    return Limiter(rate, OwnWindows(rate.seconds, time.monotonic), metrics)

"""Windows that several processes, on one machine or many, count in together: in Redis."""

from __future__ import annotations

from typing import Any

from service.api.rate.windows import Counted

PREFIX = "traywright:rate:"
"""What the keys begin with, so that they are told from whatever else is kept there."""
_PATIENCE_S = 0.25
"""A request waits no longer than this for being counted."""


class NotCounted(Exception):
    """Redis did not answer, or not in time."""


class NoSharedWindows(Exception):
    """The address is not one of a Redis server, or what speaks to it is not installed; the message says which."""


class SharedWindows:
    """Counted by the Redis server at ``url``. One exchange a request; what is counted is forgotten with its window."""

    def __init__(self, url: str, window_s: int, prefix: str = PREFIX) -> None:
        """Nothing is asked of the server yet. Raises ``NoSharedWindows``."""
        try:
            import redis  # imported when needed: only those who share their windows have it installed
            from redis.backoff import NoBackoff
            from redis.retry import Retry
        except ModuleNotFoundError:
            raise NoSharedWindows("Redis is not spoken to without: pip install 'traywright[redis]'") from None
        self._window_ms, self._prefix, self._errors = window_s * 1000, prefix, redis.RedisError
        try:
            self._server: Any = redis.Redis.from_url(
                url,
                socket_timeout=_PATIENCE_S,
                socket_connect_timeout=_PATIENCE_S,
                retry=Retry(NoBackoff(), 0),
            )
        except ValueError as error:
            raise NoSharedWindows(f"This is no address of a Redis server ({error})") from None

    def count(self, whose: str) -> Counted:
        """Count a request of this caller. Raises ``NotCounted``."""
        key = self._prefix + whose
        try:
            with self._server.pipeline(transaction=True) as asked:
                # The first of a window says when it ends.
                asked.set(key, 0, px=self._window_ms, nx=True)
                asked.incr(key)
                asked.pttl(key)
                _, requests, left_ms = asked.execute()
            if left_ms < 0:
                # The window ended between the first and the second: what was begun anew has to end as well.
                self._server.pexpire(key, self._window_ms)
                left_ms = self._window_ms
        except (self._errors, OSError) as error:
            raise NotCounted(type(error).__name__) from error
        return Counted(int(requests), int(left_ms) / 1000)

    def close(self) -> None:
        """Close the connections."""
        self._server.close()

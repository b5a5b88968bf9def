"""Tokens as the database had them a moment ago, so that not every request asks it."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable

from service.store import AccessStore, HeldToken

KEPT_S = 2.0
"""For how long a token is taken as it was read: so soon a revocation in another process takes effect."""
_MOST = 1000


class KnownTokens:
    """Tokens by their ids. Unknown ids are not kept, so nobody fills the memory with them."""

    def __init__(self, store: AccessStore, seconds: Callable[[], float]) -> None:
        self._store, self._seconds = store, seconds
        self._lock = threading.Lock()
        self._held: OrderedDict[str, tuple[float, HeldToken]] = OrderedDict()
        self._any = False
        self._asked: float | None = None

    def held(self, token_id: str) -> HeldToken | None:
        """The token with this id, read anew after ``KEPT_S``."""
        kept = self.kept(token_id)
        if kept is not None:
            return kept
        now = self._seconds()
        found = self._store.held(token_id)
        with self._lock:
            self._held.pop(token_id, None)
            if found is not None:
                self._held[token_id] = now, found
                if len(self._held) > _MOST:
                    self._held.popitem(last=False)
        return found

    def kept(self, token_id: str) -> HeldToken | None:
        """The token with this id where it was read a moment ago."""
        with self._lock:
            when, found = self._held.get(token_id, (0.0, None))
        return found if found is not None and self._seconds() - when < KEPT_S else None

    def seen(self, token_id: str) -> HeldToken | None:
        """The token with this id as this process read it last, however long ago that was."""
        with self._lock:
            return self._held.get(token_id, (0.0, None))[1]

    def forget(self, token_id: str) -> None:
        """Read this token, and whether there is any, anew when that is next asked for."""
        with self._lock:
            self._held.pop(token_id, None)
            self._asked = None

    def any(self) -> bool:
        """Whether the database has or had a token. Once it has, that stays so for as long as this process lives."""
        now = self._seconds()
        if not self._any and (self._asked is None or now - self._asked >= KEPT_S):
            self._any, self._asked = self._store.any_token(), now
        return self._any

"""Whoever tells: takes what is due, tries it, and says what came of it. Several may, in several processes."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from datetime import timedelta
from types import TracebackType

from service.domain.audit import Actor
from service.domain.webhook import Outcome, Trouble, Turn
from service.store import StoreError, acts, open_store
from service.store.webhooks.work import LEASE_S
from service.telling.networks import Allowed
from service.telling.pace import Pace
from service.telling.resolving import resolve as resolve_by_system
from service.telling.sending import Answer, NotAnswered, send
from service.telling.signing import signed_headers
from service.telling.targets import Resolve, Target, Untellable, addresses_of, target_of

KEPT = timedelta(days=30)
"""For how long deliveries can be looked up; what waits for longer is given up with them."""

SENDERS = 4
"""How many receivers are told at a time, unless the settings say otherwise."""

_LOOK_S = 1.0
_AFTER_TROUBLE_S = 5.0
_FORGET_EVERY_S = 3600.0
_END_S = 3.0
_log = logging.getLogger(__name__)

Send = Callable[[Target, Sequence[str], Mapping[str, str], bytes], Answer]


def try_once(
    turn: Turn, allowed: Allowed, pace: Pace, resolve: Resolve = resolve_by_system, send: Send = send
) -> Outcome:
    """Try one delivery, and say what came of it and what is to follow. Where it may go is looked at every time."""
    trouble: Trouble | None
    answer: Answer | None = None
    try:
        target = target_of(turn.url)
        addresses = addresses_of(target, allowed, resolve)
        headers = signed_headers(turn.event, int(time.time()), turn.body, turn.secrets)
        answer = send(target, addresses, headers, turn.body)
        trouble = _trouble(answer.status)
    except (Untellable, NotAnswered) as error:
        trouble = error.trouble
    status = None if answer is None else answer.status
    if trouble is None or trouble == "gone":
        return Outcome(trouble, status, None, pace.off_after_s)
    again_s = pace.again_s(turn.attempts + 1, None if answer is None else answer.rest_s)
    return Outcome(trouble, status, again_s, pace.off_after_s)


def _trouble(status: int) -> Trouble | None:
    if 200 <= status < 300:
        return None
    if status == 410:
        return "gone"
    return "redirected" if 300 <= status < 400 else "status"


class Teller:
    """Threads that tell the webhooks of a database, of all teams, until they are stopped.

    What one is at when the process is killed is tried again when its lease has run out.
    """

    def __init__(
        self,
        url: str,
        allowed: Allowed,
        pace: Pace | None = None,
        senders: int = SENDERS,
        resolve: Resolve = resolve_by_system,
        look_s: float = _LOOK_S,
        lease_s: float = LEASE_S,
    ) -> None:
        self._store = open_store(url)
        self._work = self._store.webhooks.work
        self._allowed, self._pace, self._resolve = allowed, pace or Pace(), resolve
        self._look_s, self._lease_s = look_s, lease_s
        self._ending = threading.Event()
        self._lock, self._telling = threading.Lock(), senders
        self._threads = [
            threading.Thread(target=self._tell, args=(number == 0,), name=f"teller-{number}", daemon=True)
            for number in range(senders)
        ]

    def __enter__(self) -> Teller:
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Take nothing more; what is under way has a moment to come to its end."""
        self._ending.set()
        last = time.monotonic() + _END_S
        for thread in self._threads:
            thread.join(max(last - time.monotonic(), 0.0))

    def _tell(self, forgets: bool) -> None:
        try:
            self._go_on(forgets)
        finally:
            self._leave()

    def _leave(self) -> None:
        """The last to end closes the store: one that is still at a try says what came of it by a connection of it."""
        with self._lock:
            self._telling -= 1
            last = self._telling == 0
        if last:
            self._store.close()

    def _go_on(self, forgets: bool) -> None:
        acts(Actor("webhooks"))
        forget_next = time.monotonic()
        while not self._ending.is_set():
            try:
                if forgets and time.monotonic() >= forget_next:
                    self._work.forget(KEPT)
                    forget_next = time.monotonic() + _FORGET_EVERY_S
                turn = self._work.lease(self._lease_s)
                if turn is None:
                    self._ending.wait(self._look_s)
                    continue
                self._take(turn)
            except StoreError as error:
                _log.warning("webhooks cannot be told just now: %s", error)
                self._ending.wait(_AFTER_TROUBLE_S)
            except Exception:
                # Whatever it is, the other webhooks are still to be told; this one's turn comes when its lease ends.
                _log.exception("telling a webhook failed")
                self._ending.wait(_AFTER_TROUBLE_S)

    def _take(self, turn: Turn) -> None:
        outcome = try_once(turn, self._allowed, self._pace, self._resolve)
        if outcome.trouble is not None:
            told = "webhook %s: try %d of delivery %s failed (%s, status %s)"
            _log.info(told, turn.webhook, turn.attempts + 1, turn.delivery, outcome.trouble, outcome.status)
        for _ in range(3):
            with suppress(StoreError):
                self._work.finish(turn, outcome)
                return
            self._ending.wait(_AFTER_TROUBLE_S)
        _log.warning("webhook %s: what came of delivery %s could not be recorded", turn.webhook, turn.delivery)

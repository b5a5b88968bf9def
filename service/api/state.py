"""What the request handlers share: settings, store, description, metrics, and the keys being worked on."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, cast

from flask import current_app, g, has_request_context

from service.api.access.door import Door
from service.api.contract import Contract
from service.api.metrics import Metrics
from service.api.narrower import Narrower
from service.api.rate.limiter import Limiter
from service.api.spec import Operation, Spec
from service.api.streams import Streams
from service.domain.access import Caller
from service.settings import Settings
from service.store import Store
from service.telling.networks import Allowed
from service.telling.resolving import resolve as by_system
from service.telling.targets import Resolve


@dataclass(frozen=True, slots=True)
class State:
    """One application's state; ``clock`` tells the time of plans, ``keys_in_flight`` is guarded by ``keys_lock``.

    ``root`` is the store of the team ``default``, for what is nobody's in particular; ``store`` is that of the caller.
    ``keys_in_flight`` are the keys with the numbers of their teams. ``limiter`` None: nobody's requests are counted.
    ``narrower`` None: the limits of bodies are those of the description. ``allowed`` are the networks that webhooks
    may lead to beside the public internet, and ``resolve`` looks up their hosts.
    """

    settings: Settings
    root: Store
    spec: Spec
    contract: Contract
    metrics: Metrics
    clock: Callable[[], datetime]
    door: Door
    limiter: Limiter | None = None
    narrower: Narrower | None = None
    allowed: Allowed = field(default_factory=Allowed)
    resolve: Resolve = by_system
    keys_in_flight: set[tuple[int, str]] = field(default_factory=set)
    keys_lock: threading.Lock = field(default_factory=threading.Lock)
    streams: Streams = field(default_factory=Streams)

    @property
    def store(self) -> Store:
        """The store of the caller's team; outside of a request that of the team ``default``.

        Raises ``AttributeError`` in a request that nobody was let in with: what anybody may ask has no team's rows.
        """
        return self.root.for_team(g.caller.team.id) if has_request_context() else self.root


def state() -> State:
    """The state of the application that handles this request."""
    return cast(State, current_app.extensions["traywright"])


def operation() -> Operation | None:
    """The described operation that this request is for; None for OPTIONS and for what does not exist."""
    return cast("Operation | None", g.get("operation"))


def caller() -> Caller:
    """Who sent this request; not for what anybody may ask."""
    return cast(Caller, g.caller)


def parameter(name: str) -> Any:
    """A checked path or query parameter, by its described default where it was left out."""
    return g.parameters[name]


def request_id() -> str:
    """The id of this request."""
    return cast(str, g.request_id)

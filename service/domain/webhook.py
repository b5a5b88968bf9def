"""A webhook: an address that is told of events, the events that wait to be delivered there, and what came of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal, get_args

EventType = Literal["takeoff.finished", "takeoff.cancelled", "takeoff.stopped", "order.placed", "closure.filled"]
EVENT_TYPES: tuple[EventType, ...] = get_args(EventType)
"""What can be listened to."""

TRIED = "webhook.tried"
"""The event that is sent where a webhook is tried out; nobody can listen to it."""

FULL_SHARE = 0.8
"""From what share of its slots on a closure is told to be full, where the webhook does not say."""

WhyOff = Literal["gone", "failing"]
"""Why the service has switched a webhook off: it answered 410, or nothing got through for days."""

DeliveryState = Literal["waiting", "delivered", "failed"]
"""``failed``: it was tried as often as it is to be, or the receiver said that it is gone."""

Trouble = Literal[
    "status", "redirected", "gone", "unresolved", "refused_address", "unreachable", "tls", "timeout", "garbled"
]
"""Why a try failed: the answer's status, or what was in the way of any answer."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a caller says of a webhook. ``full_share``: of a closure's slots, from 0 (not in) to 1."""

    url: str
    events: tuple[EventType, ...]
    description: str = ""
    full_share: float = FULL_SHARE
    active: bool = True


@dataclass(frozen=True, slots=True)
class Webhook:
    """A webhook as it stands, without its secret.

    ``revision`` counts what was said of it, and that the service switched it off. ``off_because`` and ``off_since`` are
    None unless the service did. ``failing_since`` is when the first try failed of those since the last that succeeded,
    ``tried`` when the last one was, ``old_secret_until`` until when the secret before this one signs as well.
    """

    id: str
    created: datetime
    revision: int
    wanted: Wanted
    off_because: WhyOff | None = None
    off_since: datetime | None = None
    failing_since: datetime | None = None
    tried: datetime | None = None
    old_secret_until: datetime | None = None


@dataclass(frozen=True, slots=True)
class Delivery:
    """An event on its way to a webhook. ``id`` is the delivery's own, ``event`` the event's, the same for all tries.

    ``due`` is when it is tried next, None where it is not any more; ``status`` and ``trouble`` are those of the last
    try, None where there was no answer, or no trouble. ``body`` is what is sent (JSON, UTF-8).
    """

    id: str
    created: datetime
    event: str
    type: str
    state: DeliveryState
    attempts: int
    due: datetime | None
    tried: datetime | None
    status: int | None
    trouble: Trouble | None
    body: bytes = b""


@dataclass(frozen=True, slots=True)
class Turn:
    """A delivery that is one sender's to make: the webhook is leased to it, and ``fence`` counts its leases.

    ``secrets`` are those to sign with, the newest first. ``attempts`` counts the tries so far.
    """

    webhook: str
    team: int
    fence: int
    delivery: str
    event: str
    attempts: int
    url: str
    secrets: tuple[str, ...]
    body: bytes


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of a try, and what is to follow.

    ``again_s``: after so many seconds it is tried again; None: not any more. ``off_after_s``: where tries have failed
    for longer than that, the webhook is switched off.
    """

    trouble: Trouble | None
    status: int | None = None
    again_s: float | None = None
    off_after_s: float = float("inf")

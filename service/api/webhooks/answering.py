"""What the answers about webhooks share: their entity tags, and how an address that is not to be told is refused."""

from __future__ import annotations

from datetime import datetime

from service.api.problems import refused
from service.api.state import state
from service.domain.webhook import Delivery, Webhook
from service.telling.targets import Untellable, addresses_of, target_of


def webhook_tag(webhook: Webhook) -> str:
    """Its revision, which a change is guarded by, and after a dot when it was last tried."""
    return f"{webhook.revision}.{_milliseconds(webhook.tried)}"


def delivery_tag(delivery: Delivery) -> str:
    """A tag that changes with every try, and whenever another is asked for."""
    return f"{delivery.state}-{delivery.attempts}-{_milliseconds(delivery.due)}-{_milliseconds(delivery.tried)}"


def insist_on_tellable(url: str) -> None:
    """Raise the 422 problem for an address that is not told anything just now, or never."""
    shared = state()
    try:
        addresses_of(target_of(url), shared.allowed, shared.resolve)
    except Untellable as error:
        raise refused([error.fault]) from error


def _milliseconds(moment: datetime | None) -> int:
    return 0 if moment is None else int(moment.timestamp() * 1000)

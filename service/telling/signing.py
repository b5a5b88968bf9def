"""The headers that go with an event, after the Standard Webhooks specification (symmetric signatures, ``v1``)."""

from __future__ import annotations

import base64
import hashlib
import hmac
from collections.abc import Iterable

from service.domain.webhook_secret import key_of


def signed_headers(event: str, timestamp: int, body: bytes, secrets: Iterable[str]) -> dict[str, str]:
    """The id, the time of this try (seconds since 1970), and a signature by each secret.

    The id has no dot in it, so what is signed can be read in one way alone.
    """
    signed = b".".join((event.encode(), str(timestamp).encode(), body))
    signatures = (hmac.digest(key_of(secret), signed, hashlib.sha256) for secret in secrets)
    return {
        "webhook-id": event,
        "webhook-timestamp": str(timestamp),
        "webhook-signature": " ".join(f"v1,{base64.b64encode(each).decode()}" for each in signatures),
    }

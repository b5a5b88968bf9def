"""Pages of lists: opaque, signed cursors and the Link header (RFC 8288)."""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

import orjson

from service.api.problems import bad_parameters

_MAC = 16


def write_cursor(key: bytes, scope: str, place: Sequence[str]) -> str:
    """A cursor for the place behind which a list goes on. ``scope`` names the list and its filters."""
    payload = orjson.dumps(list(place))
    return base64.urlsafe_b64encode(_mac(key, scope, payload) + payload).rstrip(b"=").decode()


def read_cursor(key: bytes, scope: str, cursor: str) -> list[str]:
    """The place of a cursor. Raises the 400 problem for one that was tampered with or is of another list."""
    try:
        signed = base64.b64decode(cursor + "=" * (-len(cursor) % 4), altchars=b"-_", validate=True)
    except (binascii.Error, ValueError):
        signed = b""
    payload = signed[_MAC:]
    genuine = hmac.compare_digest(signed[:_MAC], _mac(key, scope, payload))
    # The last character of the text has bits that mean nothing; a text that differs in them is no cursor of ours.
    if not genuine or write_cursor(key, scope, orjson.loads(payload)) != cursor:
        raise bad_parameters([("cursor", "cursor", "This cursor is none that this list gave with these filters.")])
    place: list[str] = orjson.loads(payload)
    return place


def _mac(key: bytes, scope: str, payload: bytes) -> bytes:
    return hmac.digest(key, scope.encode() + b"\0" + payload, hashlib.sha256)[:_MAC]


def scope_of(path: str, filters: Mapping[str, Any]) -> str:
    """The scope of a list's cursors: its path and the filters that are set."""
    return f"{path}?{urlencode(_set(filters))}"


def next_link(path: str, filters: Mapping[str, Any], limit: int, cursor: str) -> str:
    """The value of the Link header that leads to the next page, with the same filters and limit."""
    query = urlencode({**_set(filters), "limit": limit, "cursor": cursor})
    return f'<{path}?{query}>; rel="next"'


def _set(filters: Mapping[str, Any]) -> dict[str, str]:
    given = {name: value for name, value in sorted(filters.items()) if value is not None}
    return {name: _text(value) for name, value in given.items()}


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return value.isoformat() if hasattr(value, "isoformat") else str(value)

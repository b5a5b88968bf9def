"""Who has signed in on a page: a cookie that stands for a token without being it.

It holds the token's id and when it ends, signed with a key of the team and the hash of the token's secret. So it ends
with the token, by expiry or revocation, and nobody can make one who has not read the database. Every form that a page
sends carries a second signature over the cookie: no other site can know it.
"""

from __future__ import annotations

import hashlib
import hmac
import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

LASTS = timedelta(hours=12)
_FORM = re.compile(r"([0-9a-f]{32})\.([0-9]{1,12})\.([0-9a-f]{64})\Z")


@dataclass(frozen=True, slots=True)
class Session:
    """A cookie that was read: whose token it stands for and when it ends. Not yet checked."""

    token_id: str
    ends: datetime
    signature: str

    def genuine(self, key: bytes, digest: str) -> bool:
        """Whether it was signed with the team's key for the token with this digest."""
        return hmac.compare_digest(self.signature, _signature(key, digest, self.token_id, self.ends))


def read_session(text: str) -> Session | None:
    """The session of a cookie, None for what is none."""
    found = _FORM.match(text)
    if found is None:
        return None
    try:
        return Session(found[1], datetime.fromtimestamp(int(found[2]), UTC), found[3])
    except (OverflowError, ValueError):
        return None


def write_session(key: bytes, digest: str, token_id: str, now: datetime, expires: datetime) -> tuple[str, datetime]:
    """A cookie for who has shown a token, and when it ends: after ``LASTS``, or with the token if that is sooner."""
    ends = min(now + LASTS, expires).replace(microsecond=0)
    return f"{token_id}.{int(ends.timestamp())}.{_signature(key, digest, token_id, ends)}", ends


def form_token(key: bytes, cookie: str) -> str:
    """What every form of a page carries for whoever has this cookie."""
    return hmac.new(key, b"form\0" + cookie.encode(), hashlib.sha256).hexdigest()


def _signature(key: bytes, digest: str, token_id: str, ends: datetime) -> str:
    text = f"sign-in\0{digest}\0{token_id}\0{int(ends.timestamp())}"
    return hmac.new(key, text.encode(), hashlib.sha256).hexdigest()

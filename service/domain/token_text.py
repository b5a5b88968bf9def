"""A token as it is written: ``tw_``, its id, and its secret of 256 random bits.

The secret is random and long, so one SHA-256 keeps it safe: there are no words to be guessed, which is what slow hashes
are for. Only the hash is ever stored.
"""

from __future__ import annotations

import hashlib
import hmac
import re
from typing import NamedTuple

SECRET_BYTES = 32
_FORM = re.compile(r"tw_([0-9a-f]{32})_([A-Za-z0-9_-]{43})\Z")


class TokenText(NamedTuple):
    """The two parts of a token: by the id it is looked up, the secret is what nobody else knows."""

    id: str
    secret: str

    def __str__(self) -> str:
        """The token as it is shown, once."""
        return f"tw_{self.id}_{self.secret}"

    def __repr__(self) -> str:
        """Without the secret, for whatever prints it."""
        return f"tw_{self.id}_..."


def read_token(text: str) -> TokenText | None:
    """The parts of a token, None for what is none."""
    found = _FORM.match(text)
    return TokenText(found[1], found[2]) if found else None


def digest_of_secret(secret: str) -> str:
    """The SHA-256 of a secret, in hexadecimal digits."""
    return hashlib.sha256(secret.encode()).hexdigest()


def same_secret(secret: str, digest: str) -> bool:
    """Whether a secret is the one with this digest, in a time that does not depend on where they differ."""
    return hmac.compare_digest(digest_of_secret(secret), digest)

"""The secret of a webhook in text: ``whsec_`` and its bytes in Base64, as Standard Webhooks has it."""

from __future__ import annotations

import base64
import secrets

PREFIX = "whsec_"
SECRET_BYTES = 32
"""The specification asks for 24 to 64."""


def new_secret() -> str:
    """A secret that nobody has guessed."""
    return PREFIX + base64.b64encode(secrets.token_bytes(SECRET_BYTES)).decode()


def key_of(secret: str) -> bytes:
    """The bytes that a secret stands for; they are what signs."""
    return base64.b64decode(secret.removeprefix(PREFIX), validate=True)

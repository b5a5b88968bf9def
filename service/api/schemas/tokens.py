"""The body of a new token."""

from __future__ import annotations

from service.api.fields import Choice, Day, Items
from service.api.schemas import words
from service.domain.access import SCOPES


class TokenRequestSchema(words.Body):
    """What a token is for and what it is to allow."""

    name = words.line(required=True)
    scopes = Items(Choice(*SCOPES), fewest=1, most=len(SCOPES), unique=True, required=True)
    last_day = Day()

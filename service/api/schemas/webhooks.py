"""The body of a webhook."""

from __future__ import annotations

from service.api.fields import Choice, Flag, Items, Number, Text
from service.api.schemas import words
from service.domain.webhook import EVENT_TYPES

_URL = r"https?://[\x21-\x7e]*"


class WebhookRequestSchema(words.Body):
    """Where events are to be sent, and which."""

    url = Text(2000, 10, _URL, "An address begins with https:// and has printable ASCII alone in it.", required=True)
    events = Items(Choice(*EVENT_TYPES), fewest=1, most=len(EVENT_TYPES), unique=True, required=True)
    description = words.line(shortest=0)
    full_share = Number(least=0.01, most=1)
    active = Flag()

"""The routes about tokens."""

from __future__ import annotations

from service.api.access import tokens, whoami

ACCESS = (tokens, whoami)

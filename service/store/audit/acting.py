"""Who acts in this thread, for the record of changes.

It is said once, where a request is let in, and not handed through every function on the way to a row. Whoever has said
nothing is on the command line of the server.
"""

from __future__ import annotations

from contextvars import ContextVar

from service.domain.audit import Actor

_COMMAND_LINE = Actor("command line")
_actor: ContextVar[Actor] = ContextVar("actor", default=_COMMAND_LINE)


def acts(actor: Actor | None) -> None:
    """From now on, in this thread, this one acts; None: whoever is on the command line."""
    _actor.set(actor or _COMMAND_LINE)


def acting() -> Actor:
    """Who acts in this thread."""
    return _actor.get()

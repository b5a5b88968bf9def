"""Telling that a takeoff has ended, in the transaction in which it does: so it is told once, whoever worked on it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from sqlalchemy import Connection

from service.documents.events import takeoff_ended_to
from service.domain.takeoff import State
from service.domain.webhook import EventType
from service.store.takeoffs.standing import by_number
from service.store.teams import bound
from service.store.webhooks.outbox import listeners, tell

_TYPES: Mapping[State, EventType] = {
    "finished": "takeoff.finished",
    "cancelled": "takeoff.cancelled",
    "stopped": "takeoff.stopped",
}


def tell_ended(connection: Connection, number: int, now: datetime) -> None:
    """Tell whoever listens that a takeoff, by its number, is in the last of its states."""
    team, takeoff = by_number(connection, number)
    type = _TYPES[takeoff.state]
    # Whoever works on takeoffs is of no team; those who listen are of the takeoff's.
    connection = bound(connection, team)
    listening = [each.webhook for each in listeners(connection, type)]
    if listening:
        tell(connection, type, takeoff_ended_to(takeoff), listening, now)

"""A single takeoff as an answer, and the numbers that its entity tags are."""

from __future__ import annotations

from typing import Any

from service.api.state import state
from service.building.standing import standing_of
from service.domain.takeoff import TakeoffStatus

_STATES = ("receiving", "running", "finished", "cancelled", "stopped")
_STAGES = (None, "judging", "choosing", "planning", "adding_up")
_PER_STATE = 10**8
_PER_STAGE = 10**7


def status_document(takeoff: TakeoffStatus) -> dict[str, Any]:
    """The document of a takeoff."""
    return standing_of(state().store.takeoffs, takeoff, state().clock())


def status_revision(takeoff: TakeoffStatus) -> int:
    """A number that changes whenever the document does, but for its pace; it tells state and progress."""
    state_number, stage_number = _STATES.index(takeoff.state) + 1, _STAGES.index(takeoff.stage)
    progress = takeoff.points + takeoff.judged + takeoff.planned
    return state_number * _PER_STATE + stage_number * _PER_STAGE + progress


def state_of(revision: int) -> str | None:
    """The state that a revision of ``status_revision`` tells of; None where it is no such number."""
    place = revision // _PER_STATE - 1
    return _STATES[place] if 0 <= place < len(_STATES) else None

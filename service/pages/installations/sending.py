"""Doing what a form asks for, once: done, refused with its faults, or overtaken by somebody else's visit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from flask import Response

from service.api.bodies import allowed
from service.api.installations.once import Keyed, once_by
from service.api.problems import Problem, refused
from service.api.state import state
from service.domain.faults import Refused
from service.pages.rendering import page, sent_key
from service.store import Changed, Stale, StoredAnswer

_VISITS_TOLD = 3


@dataclass(frozen=True, slots=True)
class Outcome:
    """What has come of a form: the API's answer, or the ``errors`` for which nothing was done, or ``overtaken``."""

    answer: Response | None = None
    errors: tuple[dict[str, Any], ...] = ()
    overtaken: bool = False


def sent(
    schema: str,
    document: dict[str, Any],
    work: Callable[[Keyed], Response | StoredAnswer],
    replayed: Callable[[StoredAnswer], Response],
) -> Outcome:
    """Do the work of a form whose document the named schema allows. Raises the problems that name no fault."""
    try:
        allowed(schema, document)
        return Outcome(once_by(sent_key(), document, work, replayed))
    except (Stale, Changed):
        return Outcome(overtaken=True)
    except Refused as refusal:
        return Outcome(errors=tuple(refused(refusal.faults).errors))
    except Problem as problem:
        if problem.kind.slug == "changed-meanwhile":
            return Outcome(overtaken=True)
        if not problem.errors:
            raise
        return Outcome(errors=tuple(problem.errors))


def somebody_was_there(id: str, again: str, text: str) -> Response:
    """The page that says so, with the last visits and the way on: ``again`` is its address, ``text`` what it says."""
    store = state().store.installations
    installation, visits = store.get(id), store.visits(id, _VISITS_TOLD)
    return page("overtaken.html", 409, installation=installation, visits=visits, again=again, text=text)

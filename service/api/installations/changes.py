"""What a visit takes away: splices removed, a cable given up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any, NamedTuple

from flask import Blueprint, Response

from service.api.answers import tagged
from service.api.bodies import read_body
from service.api.installations.answering import expected_if_said, replayed_installation, told
from service.api.installations.once import Keyed, once
from service.api.state import state
from service.documents.visit_request import visit_said
from service.domain.catalogue import Catalogue
from service.domain.installation import Contents, VisitKind
from service.planning.hanging.leaving import after_abandoning, after_removal
from service.planning.visiting import visit_between
from service.store import Change, Expectation, StoredAnswer, as_hung

routes = Blueprint("changes", __name__)


@routes.post("/v1/installations/<id>/removals")
def remove_splices(id: str) -> Response:
    """Record that splices were taken out."""
    document, expect = read_body("RemovalRequest"), expected_if_said()
    return once(document, lambda keyed: removed_splices(id, document, expect, keyed), replayed_installation)


@routes.post("/v1/installations/<id>/abandonments")
def abandon_cable(id: str) -> Response:
    """Record that a cable was given up."""
    document, expect = read_body("AbandonmentRequest"), expected_if_said()
    return once(document, lambda keyed: abandoned_cable(id, document, expect, keyed), replayed_installation)


def removed_splices(
    id: str, document: dict[str, Any], expect: Expectation | None, keyed: Keyed
) -> Response | StoredAnswer:
    """Record the removal of a schema-valid document."""
    numbers = tuple(document["splices"])
    change = _Said(id, document, "removed", lambda contents, known: after_removal(contents, numbers, known))
    return _changed(change, expect, keyed)


def abandoned_cable(
    id: str, document: dict[str, Any], expect: Expectation | None, keyed: Keyed
) -> Response | StoredAnswer:
    """Record that the cable of a schema-valid document was given up."""
    tag = document["cable"]
    change = _Said(id, document, "cable_abandoned", lambda contents, known: after_abandoning(contents, tag, known))
    return _changed(change, expect, keyed)


class _Said(NamedTuple):
    """What a visit did to an installation, and what it makes of its contents."""

    id: str
    document: dict[str, Any]
    kind: VisitKind
    made: Callable[[Contents, Catalogue], Contents]


def _changed(change: _Said, expect: Expectation | None, keyed: Keyed) -> Response | StoredAnswer:
    store, now = state().store.installations, state().clock()
    before = store.get(change.id, expect)
    contents = change.made(before.contents, as_hung(state().store.snapshot(), before.contents))
    said = visit_said(change.document, now.date())
    visit = visit_between(change.kind, before.contents, contents, said.on, now, said.by, said.note)
    after = replace(before, revision=before.revision + 1, contents=contents)
    body, tag = told(after)
    taken = store.change(Change(before, after, visit), expect, keyed(200, now, body))
    return tagged(body, tag) if taken is None else taken

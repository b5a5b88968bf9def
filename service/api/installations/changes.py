"""What a visit takes away: splices removed, a cable given up."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

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
from service.store import Change, StoredAnswer, as_hung

routes = Blueprint("changes", __name__)
_Made = Callable[[Contents, Catalogue], Contents]


@routes.post("/v1/installations/<id>/removals")
def remove_splices(id: str) -> Response:
    """Record that splices were taken out."""
    document = read_body("RemovalRequest")
    numbers = tuple(document["splices"])
    return _changed(id, document, "removed", lambda contents, known: after_removal(contents, numbers, known))


@routes.post("/v1/installations/<id>/abandonments")
def abandon_cable(id: str) -> Response:
    """Record that a cable was given up."""
    document = read_body("AbandonmentRequest")
    tag = document["cable"]
    return _changed(id, document, "cable_abandoned", lambda contents, known: after_abandoning(contents, tag, known))


def _changed(id: str, document: dict[str, Any], kind: VisitKind, made: _Made) -> Response:
    expect = expected_if_said()

    def work(keyed: Keyed) -> Response | StoredAnswer:
        store, now = state().store.installations, state().clock()
        before = store.get(id, expect)
        contents = made(before.contents, as_hung(state().store.snapshot(), before.contents))
        said = visit_said(document, now.date())
        visit = visit_between(kind, before.contents, contents, said.on, now, said.by, said.note)
        after = replace(before, revision=before.revision + 1, contents=contents)
        body, tag = told(after)
        taken = store.change(Change(before, after, visit), expect, keyed(200, now, body))
        return tagged(body, tag) if taken is None else taken

    return once(document, work, replayed_installation)

"""Saying where a closure hangs, and how it is called."""

from __future__ import annotations

from typing import Any

from flask import Response

from service.api.answers import tagged
from service.api.installations.answering import replayed_installation, told
from service.api.installations.once import Keyed
from service.api.installations.places import insist_on_both_coordinates
from service.api.state import state
from service.documents.installation import place_to
from service.documents.visit_request import place_from
from service.pages.blueprint import routes
from service.pages.installations.sending import sent, somebody_was_there
from service.pages.installations.typed import Typed, beside, revision_seen, typed
from service.pages.rendering import page, see

_FIELDS = ("place", "latitude", "longitude")


@routes.get("/installations/<id>/place")
def ask_place(id: str) -> Response:
    """The form, filled in with what is known."""
    known = place_to(state().store.installations.get(id).place)
    return _shown(id, Typed({name: str(value) for name, value in known.items()}), {})


@routes.post("/installations/<id>/place")
def say_place(id: str) -> Response:
    """Change it; what was blanked is forgotten."""
    form, expect = typed(), revision_seen()
    document: dict[str, Any] = {"name": form.text("name"), **form.document(_FIELDS)}

    def work(_: Keyed) -> Response:
        insist_on_both_coordinates(document)
        return tagged(*told(state().store.installations.rename(id, place_from(document), expect)))

    outcome = sent("InstallationPlace", document, work, replayed_installation)
    if outcome.answer is not None:
        return see(f"/installations/{id}")
    if outcome.overtaken:
        return somebody_was_there(id, f"/installations/{id}/place", "Change name and place as they are now")
    return _shown(id, form, beside(outcome.errors))


def _shown(id: str, form: Typed, faults: dict[str, list[str]]) -> Response:
    hung = state().store.installations.get(id)
    return page("place.html", 422 if faults else 200, hung=hung, form=form, beside=faults, key=form.key)

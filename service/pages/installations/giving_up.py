"""Giving up a cable of a hung closure: what goes with it, and the record that it was done."""

from __future__ import annotations

from typing import Any

from flask import Response, request

from service.api.installations.answering import replayed_installation
from service.api.installations.changes import abandoned_cable
from service.api.state import state
from service.pages.blueprint import routes
from service.pages.installations.sending import sent, somebody_was_there
from service.pages.installations.typed import VISIT, Typed, beside, revision_seen, typed
from service.pages.rendering import page, see
from service.store import NotFound


@routes.get("/installations/<id>/give-up")
def confirm_giving_up(id: str) -> Response:
    """What goes with the cable, and who does it when."""
    return _shown(id, request.args.get("cable", ""), Typed({"on": state().clock().date().isoformat()}), {})


@routes.post("/installations/<id>/give-up")
def give_up(id: str) -> Response:
    """Record that the cable was given up."""
    form, expect = typed(), revision_seen()
    # As it hangs, to the letter: a tag may begin or end with a space.
    tag = request.form.get("cable", "")
    document: dict[str, Any] = {"cable": tag, **form.document(VISIT)}
    outcome = sent(
        "AbandonmentRequest",
        document,
        lambda keyed: abandoned_cable(id, document, expect, keyed),
        replayed_installation,
    )
    if outcome.answer is not None:
        return see(f"/installations/{id}")
    if outcome.overtaken:
        return somebody_was_there(id, f"/installations/{id}", "Look at the closure again")
    return _shown(id, tag, form, beside(outcome.errors))


def _shown(id: str, tag: str, form: Typed, faults: dict[str, list[str]]) -> Response:
    """The page; raises ``NotFound`` where no such cable hangs there."""
    installation = state().store.installations.get(id)
    cable = next((each for each in installation.contents.cables if each.tag == tag), None)
    if cable is None:
        raise NotFound(f"No cable {tag!r} hangs in installation {id}.")
    gone = sum(tag in (each.from_.cable, each.to.cable) for each in installation.contents.splices)
    status = 422 if faults else 200
    return page(
        "give_up.html", status, hung=installation, cable=cable, gone=gone, form=form, beside=faults, key=form.key
    )

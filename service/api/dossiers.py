"""A stored plan with what its sheets are drawn from: its request, and the catalogue as it was when it was planned."""

from __future__ import annotations

import orjson
from flask import request

from service.api.state import state
from service.documents.plan_reading import plan_from
from service.documents.request import request_from
from service.domain.dossier import Dossier
from service.store import StoredPlan


def dossier_of(plan_id: str) -> Dossier:
    """The dossier of a stored plan; raises ``NotFound`` where there is none."""
    return dossier_from(state().store.plan(plan_id))


def dossier_from(stored: StoredPlan) -> Dossier:
    """The dossier of a plan that has been read; its link leads to the page of the plan on the host that was asked."""
    store = state().store
    into_hung = stored.planned_for is not None
    return Dossier(
        id=stored.id,
        created=stored.created,
        plan=plan_from(orjson.loads(stored.answer)),
        request=request_from(orjson.loads(stored.request)),
        catalogue=store.catalogue_of(stored),
        link=f"{request.host_url}plans/{stored.id}",
        lying=store.installations.lying(stored.id) if into_hung else (),
        parked=store.installations.parked(stored.id) if into_hung else (),
    )

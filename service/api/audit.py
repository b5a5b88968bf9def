"""Who changed what and when, for administrators."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from flask import Blueprint, Response

from service.api.newest_first import newest_first
from service.api.state import parameter, state
from service.documents.order import moment_to
from service.domain.audit import AUDITED, PLANNING, AuditEntry, RecordedKind
from service.store import AuditFilter

routes = Blueprint("audit", __name__)


@routes.get("/v1/audit")
def read_list() -> Response:
    """A page of the team's changes, the newest first."""
    return _listed(AUDITED, lambda entry: {**_told(entry), "before": entry.before, "after": entry.after})


@routes.get("/v1/audit/planning")
def read_planning_list() -> Response:
    """A page of what was done to takeoffs and stored plans, which have no revisions, the newest first."""
    return _listed(PLANNING, _told)


def _listed(kinds: tuple[RecordedKind, ...], told: Callable[[AuditEntry], dict[str, Any]]) -> Response:
    filters = {"kind": parameter("kind"), "item": parameter("item"), "since": parameter("since")}
    asked = kinds if filters["kind"] is None else (filters["kind"],)
    store, which = state().store.audit, AuditFilter(asked, filters["item"], filters["since"])
    return newest_first(filters, lambda limit, after: store.listed(limit, after, which), told)


def _told(entry: AuditEntry) -> dict[str, Any]:
    document: dict[str, Any] = {
        "id": entry.id,
        "created": moment_to(entry.created),
        "by": entry.by.name,
        "operation": entry.operation,
        "kind": entry.kind,
        "item": entry.item,
    }
    if entry.by.token is not None:
        document["token"] = entry.by.token
    return document

"""Who changed what and when, for administrators."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response

from service.api.newest_first import newest_first
from service.api.state import parameter, state
from service.documents.order import moment_to
from service.domain.audit import AUDITED, OTHERS, AuditEntry, RecordedKind
from service.store import AuditFilter

routes = Blueprint("audit", __name__)


@routes.get("/v1/audit")
def read_list() -> Response:
    """A page of the team's changes, the newest first."""
    return _listed(AUDITED)


@routes.get("/v1/audit/others")
def read_other_list() -> Response:
    """A page of what was done to takeoffs, stored plans and webhooks, the newest first."""
    return _listed(OTHERS)


def _listed(kinds: tuple[RecordedKind, ...]) -> Response:
    filters = {"kind": parameter("kind"), "item": parameter("item"), "since": parameter("since")}
    asked = kinds if filters["kind"] is None else (filters["kind"],)
    store, which = state().store.audit, AuditFilter(asked, filters["item"], filters["since"])
    return newest_first(filters, lambda limit, after: store.listed(limit, after, which), _told)


def _told(entry: AuditEntry) -> dict[str, Any]:
    document: dict[str, Any] = {
        "id": entry.id,
        "created": moment_to(entry.created),
        "by": entry.by.name,
        "operation": entry.operation,
        "kind": entry.kind,
        "item": entry.item,
        "before": entry.before,
        "after": entry.after,
    }
    if entry.by.token is not None:
        document["token"] = entry.by.token
    return document

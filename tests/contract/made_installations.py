"""The examples of hung closures in ``openapi.yaml``, made by the service's own functions from the other examples."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from service.documents.addition import addition_from
from service.documents.catalogue import catalogue_from
from service.documents.free_room import free_room_to
from service.documents.installation import installation_to, planned_for_to
from service.documents.plan import plan_to
from service.documents.request import request_from
from service.documents.visit_request import place_from, visit_said
from service.domain.installation import Installation
from service.domain.installation_summary import PlannedFor
from service.planning.hanging.adding import addition_request
from service.planning.hanging.free_room import free_room
from service.planning.hanging.laying import first_contents
from service.planning.plan import plan_splice_point

HUNG_ID = "3b9f1c62d7e84a05b1c4f0a9e8d76523"
HUNG_AT = datetime(2026, 3, 9, 15, 10, tzinfo=UTC)
ADDED = {"id": "9d0a5b7c3e1f4268a1c5d7e9f0b2c4d6", "created": "2026-05-04T14:00:00.000000Z"}


def made_installations(document: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The handhole's closure as it hangs, and a drop cable planned into it and recorded."""
    examples = document["components"]["examples"]
    catalogue = catalogue_from(examples["smallCatalogue"]["value"])
    request = request_from(examples["handholeRequest"]["value"])
    contents = first_contents(plan_splice_point(request, catalogue), request, catalogue)
    said = examples["hangingRequest"]["value"]
    hung = visit_said(said, HUNG_AT.date(), "hung").on
    installation = Installation(HUNG_ID, HUNG_AT, 1, place_from(said, request.name), hung, contents)
    asked = addition_from(examples["additionRequest"]["value"])
    addition = plan_to(plan_splice_point(addition_request(contents, asked, catalogue), catalogue))
    return {
        "handholeInstallation": {
            "summary": "The closure of a handhole as it was hung.",
            "value": installation_to(installation, free_room_to(free_room(contents, catalogue))),
        },
        "addition": {
            "summary": "One more cable into it.",
            "value": {"installation": planned_for_to(PlannedFor(HUNG_ID, 1)), **addition},
        },
        "storedAddition": {
            "summary": "One more cable into it, recorded as done.",
            "value": {**ADDED, "installation": planned_for_to(PlannedFor(HUNG_ID, 1, 2)), **addition},
        },
    }

"""An addition to a hung closure, read from a document."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.documents.request import request_from
from service.domain.addition import AdditionRequest

_OF_A_PLAN = ("name", "joints", "rules", "crew", "site", "headroom")


def addition_from(document: Mapping[str, Any]) -> AdditionRequest:
    """Build the addition from a schema-valid document; what it says of the visit is passed over."""
    asked = {name: document[name] for name in _OF_A_PLAN if name in document}
    # Apart from its cables, which may be none, an addition says what a plan request says.
    request = request_from({**asked, "cables": document.get("cables", ())})
    return AdditionRequest(
        joints=request.joints,
        cables=request.cables,
        name=request.name,
        rules=request.rules,
        crew=request.crew,
        site=request.site,
        headroom=request.headroom,
    )

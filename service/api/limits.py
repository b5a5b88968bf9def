"""Limits of splice loss: those that a caller asks for, and those that are published."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flask import Blueprint, Response

from service.api.answers import json_answer
from service.api.problems import bad_parameters
from service.api.state import state
from service.documents.acceptance import limits_from, limits_to
from service.documents.rework import recorded_to
from service.domain.acceptance import Limits
from service.domain.faults import Fault, Refused
from service.planning.recording.rates import rates_of
from service.standards.acceptance import PRESETS

routes = Blueprint("limits", __name__)


def limits_said(document: Mapping[str, Any], in_query: bool = False) -> Limits:
    """The limits that are asked for; raises ``Refused``, or the 400 problem, for a preset that there is none of."""
    name = document.get("preset")
    preset = PRESETS.get(name) if name is not None else None
    if name is not None and preset is None:
        detail = f"There are no published limits of this name; there are {', '.join(PRESETS)}."
        if in_query:
            raise bad_parameters([("preset", "unknown_preset", detail)])
        raise Refused([Fault("/limits/preset", "unknown_preset", detail)])
    return limits_from(document, preset.limits if preset else None)


@routes.get("/v1/loss-limits")
def read_limits() -> Response:
    """The published limits, each with its source."""
    presets = [
        {
            "preset": preset.name,
            "title": preset.title,
            "limits": limits_to(preset.limits),
            "source": preset.source.text,
            "known": preset.source.status,
            "to_be_confirmed": preset.editable,
        }
        for preset in PRESETS.values()
    ]
    return json_answer({"presets": presets})


@routes.get("/v1/remake-rates")
def read_rates() -> Response:
    """What the splice records have taught of each form."""
    store = state().store
    rates = rates_of(store.records.tallies(), list(store.snapshot().methods.values()))
    return json_answer({"rates": [recorded_to(rate) for rate in rates]})

"""Fit checks: yes or no, and why, for every candidate closure."""

from __future__ import annotations

from flask import Blueprint, Response

from service.api.answers import json_answer
from service.api.bodies import read_body
from service.api.plan_making import make_fit_check, server_timing

routes = Blueprint("fit_checks", __name__)


@routes.post("/v1/fit-checks")
def check_fit() -> Response:
    """Check a splice point."""
    answer, seconds = make_fit_check(read_body("PlanRequest"))
    return json_answer(answer, headers=server_timing(seconds))

"""What stands in the way of hanging a closure or recording a visit, as problems."""

from __future__ import annotations

from service.api.problems import Problem
from service.store import Changed, HungAlready


def hung_already(error: HungAlready) -> Problem:
    """A plan by which a closure hangs; the error names the installation."""
    named = f"/v1/installations/{error.installation}, {error.name or 'without a name'}"
    told = [{"pointer": "/plan", "code": "hung", "detail": f"The closure of this plan is {named}."}]
    return Problem("hung-already", f"It hangs already ({error.installation}). To hang it once more, say again.", told)


def changed(error: Changed) -> Problem:
    """Another visit was recorded in between."""
    return Problem("changed-meanwhile", f"The installation is at revision {error.current} by now; nothing was stored.")

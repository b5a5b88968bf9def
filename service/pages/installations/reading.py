"""One hung closure: the room that is left, what lies in it, who was there; and the label that leads here."""

from __future__ import annotations

import io
from typing import Any

import segno
from flask import Response, request

from service.api.state import state
from service.documents.visits import visit_to
from service.domain.installation import Installation, Visit
from service.pages.blueprint import routes
from service.pages.installations.hung import shown
from service.pages.rendering import page
from service.pages.sheet_links import Sheet, plan_sheets
from service.pages.splice_runs import Run, runs_of
from service.store import NotFound

TRAYS_SHOWN = 16
LINES_SHOWN = 60
CABLES_SHOWN = 40
VISITS_SHOWN = 5
"""What a page spells out, so that it stays under 30 kB: lines are fewer where there are many cables."""


@routes.get("/installations/<id>")
def read_installation(id: str) -> Response:
    """One installation as it stands."""
    store = state().store.installations
    installation, visits = store.get(id), store.visits(id, VISITS_SHOWN + 1)
    document = shown(installation)
    trays, following = _trays(document, request.args.get("from", ""))
    return page(
        "installation.html",
        hung=document,
        trays=trays,
        following=following,
        cables=document["cables"][:CABLES_SHOWN],
        more_cables=len(document["cables"]) - CABLES_SHOWN,
        visits=[visit_to(visit) for visit in visits[:VISITS_SHOWN]],
        earlier=len(visits) > VISITS_SHOWN,
        sheets=_sheets(visits),
        address=_address(installation),
    )


@routes.get("/installations/<id>/code.svg")
def read_code(id: str) -> Response:
    """The address of the page as a QR code, for a label: a phone's camera opens it."""
    installation = state().store.installations.get(id)
    drawn = io.BytesIO()
    # Level M mends 15 % of a scuffed label (ISO/IEC 18004); the quiet zone of four modules is the standard's.
    code = segno.make(_address(installation), error="m", micro=False)
    code.save(drawn, kind="svg", border=4, dark="#000", light="#fff", omitsize=True, nl=False)
    return Response(drawn.getvalue(), content_type="image/svg+xml")


@routes.get("/installations/<id>/label")
def read_label(id: str) -> Response:
    """A label to be printed and put into the closure's lid or on its tag."""
    installation = state().store.installations.get(id)
    return page("label.html", hung=installation, address=_address(installation))


def _address(installation: Installation) -> str:
    """The address of the page on the host that was asked."""
    return f"{request.host_url}installations/{installation.id}"


def _trays(
    document: dict[str, Any], first: str
) -> tuple[list[tuple[dict[str, Any], dict[str, Any], list[Run], int]], int | None]:
    """The trays from position ``first`` on, each with its room, runs of splices, and how many more runs there are.

    Beside them the position from which the next page goes on, None where nothing is left.
    """
    start = int(first) if first.isascii() and first.isdigit() and len(first) < 6 else 1
    room = {each["position"]: each for each in document["room"]["trays"]}
    left = LINES_SHOWN - min(CABLES_SHOWN, len(document["cables"]))
    trays = [tray for tray in document["trays"] if tray["position"] >= start]
    told = []
    for tray in trays[:TRAYS_SHOWN]:
        runs = runs_of(tray["splices"])
        told.append((tray, room[tray["position"]], runs[:left], max(0, len(runs) - left)))
        left = max(0, left - len(runs))
    return told, trays[TRAYS_SHOWN]["position"] if len(trays) > TRAYS_SHOWN else None


def _sheets(visits: list[Visit]) -> list[Sheet]:
    """The sheets of the newest plan that was carried out here and is still kept."""
    for visit in visits:
        if visit.plan is not None:
            try:
                return plan_sheets(state().store.plan(visit.plan).id)
            except NotFound:
                continue
    return []

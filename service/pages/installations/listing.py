"""Hung closures, found by name or place, by model, and by how near they are to coordinates that are typed."""

from __future__ import annotations

import re

from flask import Response, request

from service.api.state import state
from service.domain.distance import Position, kilometres
from service.domain.installation_summary import InstallationSummary
from service.pages.blueprint import routes
from service.pages.lists import newest, search_text
from service.pages.rendering import page
from service.store import InstallationFilter, Near

_DEGREES = r"(-?[0-9]{1,3}(?:\.[0-9]{1,12})?)"
_PAIR = re.compile(rf"\s*{_DEGREES}(?:\s+|\s*[,;]\s*){_DEGREES}\s*\Z")
WITHIN_KM = {"0.2": "200 m", "1": "1 km", "5": "5 km", "50": "50 km"}


@routes.get("/installations")
def list_installations() -> Response:
    """The installations, the newest first; near somewhere, those of a page the nearest first."""
    text, within = request.args.get("near", "").strip()[:80], request.args.get("within", "")
    within = within if within in WITHIN_KM else "1"
    centre = _position(text)
    near = None if centre is None else Near(centre, float(within))
    mistake = "Write latitude and longitude, such as 53.5512, 8.5763." if text and centre is None else None
    if mistake:
        found: tuple[list[InstallationSummary], str | None] = [], None
    else:
        some, following = newest(
            lambda limit, after, name: state().store.installations.listed(
                limit, after, InstallationFilter(name, None, near)
            ),
            **({"near": text, "within": within} if text else {}),
        )
        found = list(some), following
    shown = [(each, _distance(each, centre)) for each in found[0]]
    if centre is not None:
        shown.sort(key=lambda each: each[1] or 0.0)
    return page(
        "installations.html",
        422 if mistake else 200,
        installations=shown,
        following=found[1],
        text=search_text(),
        near=text,
        within=within,
        choices=WITHIN_KM,
        mistake=mistake,
    )


def _position(text: str) -> Position | None:
    match = _PAIR.match(text)
    if match is None:
        return None
    latitude, longitude = float(match[1]), float(match[2])
    return Position(latitude, longitude) if abs(latitude) <= 90 and abs(longitude) <= 180 else None


def _distance(each: InstallationSummary, centre: Position | None) -> float | None:
    if centre is None or each.latitude is None or each.longitude is None:
        return None
    return kilometres(centre, Position(each.latitude, each.longitude))

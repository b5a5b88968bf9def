"""The blueprint of all pages: what each of them is sent with, and what stands at the top of each."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, Response, request
from flask.blueprints import BlueprintSetupState

from service.pages.assets import MARK, SCRIPT, STYLE
from service.pages.rendering import as_shown
from service.pages.wording import FILTERS

routes = Blueprint("pages", __name__, template_folder="templates")
"""Every address for people; ``openapi.yaml`` describes all others, and only them."""

NAVIGATION = (
    ("/fit", "Will it fit?"),
    ("/plans", "Plans"),
    ("/installations", "Installations"),
    ("/takeoffs", "Takeoffs"),
    ("/orders", "Orders"),
    ("/stock", "Stock"),
    ("/catalogue", "Catalogue"),
)
"""The sections: address and name, in the order of the menu."""

HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; img-src 'self'; script-src 'self'; connect-src 'self'; "
        "form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
    ),
    # A browser names the origin of a form on the same site only under a policy that lets it: see origin.py.
    "Referrer-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
    "Cross-Origin-Opener-Policy": "same-origin",
    "X-Frame-Options": "DENY",
}
"""What every page has beside the headers of every answer. ``connect-src`` is for the progress of a takeoff."""

for _name, _filter in FILTERS.items():
    routes.add_app_template_filter(_filter, _name)


@routes.record_once
def _show(setup: BlueprintSetupState) -> None:
    setup.app.jinja_env.finalize = as_shown


@routes.after_request
def _dress(response: Response) -> Response:
    return dressed(response)


def dressed(response: Response) -> Response:
    """The answer with the headers of a page."""
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    return response


@routes.app_context_processor
def _surroundings() -> dict[str, Any]:
    section = f"/{request.path.strip('/').partition('/')[0]}"
    return {"style": STYLE.path, "script": SCRIPT.path, "mark": MARK.path, "navigation": NAVIGATION, "section": section}

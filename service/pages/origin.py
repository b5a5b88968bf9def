"""Forms are taken from our own pages alone, so that no other site can have a visitor's browser send one.

Browsers say where a request comes from: ``Sec-Fetch-Site`` (Fetch Metadata, sent over https and to the loopback
address) and ``Origin`` (RFC 6454, sent with every form that is posted). What says neither is no browser with a form of
ours, and has the API to talk to.
"""

from __future__ import annotations

from urllib.parse import urlsplit

from flask import request
from werkzeug.exceptions import Forbidden

from service.pages.blueprint import routes

_READING = ("GET", "HEAD", "OPTIONS")


@routes.before_request
def refuse_other_sites() -> None:
    """Raise 403 for what would change something and was not sent from a page of this very server."""
    if request.method in _READING:
        return
    site, origin = request.headers.get("Sec-Fetch-Site"), request.headers.get("Origin")
    same = origin is not None and _host_of(origin) == request.host.lower()
    if site is not None:
        # A proxy may have changed the host on the way; what the browser says of the site holds all the same.
        same = site == "same-origin"
    if not same:
        raise Forbidden("This form was not sent from a page of this server, so nothing was changed.")


def _host_of(origin: str) -> str | None:
    """The host of an origin and its port; None for a text that is no address (``http://[``)."""
    try:
        return urlsplit(origin).netloc.lower()
    except ValueError:
        return None

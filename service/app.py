"""The application: settings, store and description put together, and every route registered."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, datetime

from flask import Flask

from service.api import (
    about,
    audit,
    fit_checks,
    limits,
    order_sheets,
    order_sources,
    order_states,
    orders,
    plan_sheets,
    plans,
    stock,
    whole_catalogue,
)
from service.api.access.blueprints import ACCESS
from service.api.access.door import Door
from service.api.contract import Contract
from service.api.entries import section
from service.api.errors import tell_errors
from service.api.gate import guard
from service.api.importing.blueprints import IMPORTING
from service.api.installations.blueprints import INSTALLATIONS
from service.api.metrics import Metrics
from service.api.narrower import narrower
from service.api.rate.limiter import limiter_of
from service.api.request_log import log_requests
from service.api.serving import settle
from service.api.spec import load_spec
from service.api.state import State
from service.api.takeoffs.blueprints import TAKEOFFS
from service.api.traces import collector, provider_for, trace_requests
from service.api.webhooks.blueprints import WEBHOOKS
from service.domain.catalogue import KINDS
from service.logs import log_to_stderr
from service.pages import every_page
from service.settings import Settings, settings_from
from service.store import Store, open_store
from service.telling.networks import allowed_from
from service.telling.resolving import resolve as by_system
from service.telling.targets import Resolve


def utc_now() -> datetime:
    """The time now, in UTC and with its zone."""
    return datetime.now(UTC)


def create_app(
    settings: Settings,
    store: Store | None = None,
    clock: Callable[[], datetime] = utc_now,
    resolve: Resolve = by_system,
) -> Flask:
    """Make the WSGI application.

    ``store`` None: the one of the settings' database, opened when first used. ``clock`` tells the time of plans,
    ``resolve`` the addresses of hosts that webhooks are to lead to.
    """
    app = Flask("service", static_folder=None, template_folder=None)
    app.config["MAX_CONTENT_LENGTH"] = settings.body_limit
    app.url_map.merge_slashes = False
    spec = load_spec(settings.spec)
    store = store or open_store(settings.database, clock)
    if settings.engine:
        store.takeoffs.deliver_by_engine()
    metrics = Metrics()
    door, limiter = Door(store, metrics, clock), limiter_of(settings, metrics)
    allowed = allowed_from(settings.webhook_private)
    shared = State(
        settings, store, spec, Contract(spec), metrics, clock, door, limiter, narrower(settings), allowed, resolve
    )
    app.extensions["traywright"] = shared
    for part in (about, *ACCESS, plans, plan_sheets, fit_checks, whole_catalogue, *TAKEOFFS):
        app.register_blueprint(part.routes)
    for part in (audit, orders, order_states, order_sources, order_sheets, stock, limits):
        app.register_blueprint(part.routes)
    for each in (*INSTALLATIONS, *WEBHOOKS):
        app.register_blueprint(each.routes)
    for each in IMPORTING:
        app.register_blueprint(each.routes)
    for kind in KINDS:
        app.register_blueprint(section(kind))
    app.register_blueprint(every_page.routes)
    tell_errors(app)
    every_page.tell_people(app)
    log_requests(app, shared)
    if settings.traces:
        trace_requests(app, provider_for(collector(settings.traces)))
    guard(app, shared)
    return app


def app_from_environment() -> Flask:
    """Make the application of a worker process, with the settings of its environment."""
    settings = settings_from(os.environ)
    log_to_stderr(settings)
    app = create_app(settings)
    settle()
    return app

"""Traces for an OpenTelemetry collector, where the settings name one; the libraries are imported only then.

A span for each request, in the caller's trace where it sends ``traceparent``: operation, route, status, the request's
id and the seconds of planning. As in the log, nothing else of what the caller wrote.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Flask, Response, g, request

from service import __version__
from service.api.state import operation

if TYPE_CHECKING:
    from opentelemetry.sdk.trace import TracerProvider
    from opentelemetry.sdk.trace.export import SpanExporter


class TracesNotInstalled(Exception):
    """A collector is named, and the libraries that could tell it of anything are not there."""


def collector(address: str) -> SpanExporter:
    """Who sends spans to a collector at this address, by OTLP over HTTP. Raises ``TracesNotInstalled``."""
    try:
        from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
    except ImportError:
        raise TracesNotInstalled("TRAYWRIGHT_TRACES needs the extra: pip install 'traywright[traces]'") from None
    return OTLPSpanExporter(endpoint=f"{address.rstrip('/')}/v1/traces")


def provider_for(exporter: SpanExporter) -> TracerProvider:
    """What makes spans; they are sent in batches by a thread of their own, so that no request waits for a collector."""
    from opentelemetry.sdk.resources import Resource
    from opentelemetry.sdk.trace import TracerProvider
    from opentelemetry.sdk.trace.export import BatchSpanProcessor

    resource = Resource.create({"service.name": "traywright", "service.version": __version__})
    provider = TracerProvider(resource=resource)
    provider.add_span_processor(BatchSpanProcessor(exporter))
    return provider


def trace_requests(app: Flask, provider: TracerProvider) -> None:
    """Tell of each request that the application answers from now on."""
    from opentelemetry.trace import SpanKind, Status, StatusCode
    from opentelemetry.trace.propagation.tracecontext import TraceContextTextMapPropagator

    tracer, propagator = provider.get_tracer("traywright", __version__), TraceContextTextMapPropagator()

    @app.before_request
    def _begun() -> None:
        parent = propagator.extract({"traceparent": request.headers.get("traceparent", "")})
        g.span = tracer.start_span("request", parent, SpanKind.SERVER)

    @app.after_request
    def _answered(response: Response) -> Response:
        described, span = operation(), g.span
        if described is not None:
            span.update_name(described.id)
        if request.url_rule is not None:
            span.set_attribute("http.request.method", request.method)
            span.set_attribute("http.route", request.url_rule.rule)
        span.set_attribute("http.response.status_code", response.status_code)
        span.set_attribute("traywright.request_id", g.request_id)
        name, _, milliseconds = response.headers.get("Server-Timing", "").partition(";dur=")
        if name == "plan":
            span.set_attribute("traywright.plan_seconds", float(milliseconds) / 1000)
        if response.status_code >= 500:
            span.set_status(Status(StatusCode.ERROR))
        return response

    @app.teardown_request
    def _over(_error: BaseException | None) -> None:
        span = g.pop("span", None)
        if span is not None:
            span.end()

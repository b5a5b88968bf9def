"""Traces: a span for each request, in the caller's trace, with nothing else of the caller's in it."""

from __future__ import annotations

import subprocess
import sys
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from opentelemetry.sdk.trace import ReadableSpan, TracerProvider
from opentelemetry.sdk.trace.export import SimpleSpanProcessor
from opentelemetry.sdk.trace.export.in_memory_span_exporter import InMemorySpanExporter

from service.api import traces
from service.app import create_app
from service.settings import Settings
from service.store import Absent, Store
from tests.api.held_client import HeldClient

TRACEPARENT = "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01"
"""The example of W3C Trace Context, section 3.2.3."""


@pytest.fixture
def spans(app: Flask) -> InMemorySpanExporter:
    """The spans of the application's requests, as they end."""
    kept, provider = InMemorySpanExporter(), TracerProvider()
    provider.add_span_processor(SimpleSpanProcessor(kept))
    traces.trace_requests(app, provider)
    return kept


def _only(spans: InMemorySpanExporter) -> ReadableSpan:
    (span,) = spans.get_finished_spans()
    return span


def test_a_plan_is_a_span_of_the_callers_trace(
    store: Store, catalogue: dict[str, Any], app: Flask, spans: InMemorySpanExporter, handhole: dict[str, Any]
) -> None:
    """It bears the operation's name, the route, the status, the request's id and how long planning took."""
    store.put_catalogue(catalogue, Absent())
    headers = {"traceparent": TRACEPARENT, "X-Request-ID": "ferrow-7"}
    app.test_client().post("/v1/plans?store=false", json={**handhole, "name": "s3cret"}, headers=headers)
    span = _only(spans)
    assert (span.name, f"{span.context.trace_id:032x}") == ("createPlan", TRACEPARENT.split("-")[1])
    assert span.parent is not None
    assert f"{span.parent.span_id:016x}" == TRACEPARENT.split("-")[2]
    told = dict(span.attributes or {})
    assert 0 < told.pop("traywright.plan_seconds") < 30
    assert told == {
        "http.request.method": "POST",
        "http.route": "/v1/plans",
        "http.response.status_code": 200,
        "traywright.request_id": "ferrow-7",
    }


@pytest.mark.parametrize("sent", ["", "00-nonsense", "s3cret" * 1000])
def test_a_trace_that_cannot_be_read_begins_anew(client: HeldClient, spans: InMemorySpanExporter, sent: str) -> None:
    """A bad ``traceparent`` changes no answer, and an address that there is not is not told."""
    assert client.get("/s3cret", headers={"traceparent": sent}).status_code == 404
    assert _only(spans).parent is None
    assert "s3cret" not in _only(spans).to_json()


class _Collector(BaseHTTPRequestHandler):
    got: list[tuple[str, bytes]]

    def do_POST(self) -> None:
        self.got.append((self.path, self.rfile.read(int(self.headers["Content-Length"]))))
        self.send_response(200)
        self.end_headers()

    def log_message(self, *_arguments: object) -> None:
        pass


@pytest.fixture
def collecting() -> Iterator[tuple[str, list[tuple[str, bytes]]]]:
    """The address of a collector, and what it was sent."""
    got: list[tuple[str, bytes]] = []
    server = HTTPServer(("127.0.0.1", 0), type("Handler", (_Collector,), {"got": got}))
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}", got
    server.shutdown()
    thread.join()
    server.server_close()


def test_a_collector_is_told_by_its_own_protocol(collecting: tuple[str, list[tuple[str, bytes]]], store: Store) -> None:
    """With its address in the settings alone, the spans arrive where OTLP over HTTP has them arrive."""
    address, got = collecting
    provider = traces.provider_for(traces.collector(address))
    made = create_app(Settings(), store)
    traces.trace_requests(made, provider)
    made.test_client().get("/v1/trays")
    provider.shutdown()
    ((path, body),) = got
    assert path == "/v1/traces"
    assert b"listTrays" in body
    assert b"traywright" in body


def test_nothing_of_it_is_loaded_unless_asked_for() -> None:
    """The libraries are an extra: a service without traces never imports them."""
    code = "import sys, service.app; assert not [name for name in sys.modules if name.startswith('opentelemetry')]"
    subprocess.run([sys.executable, "-c", code], cwd=Path(__file__).parents[2], check=True, timeout=60)

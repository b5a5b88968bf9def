"""Requests of which a part is any bytes, sent to an application in this process: what holds of every answer."""

from __future__ import annotations

import atexit
import re
import shutil
import tempfile
from functools import cache
from typing import Any
from urllib.parse import quote_from_bytes, urlencode

from flask import Flask
from flask.testing import FlaskClient

from service.api.spec import load_spec
from service.app import create_app
from service.settings import Settings
from service.store import AnyRevision, open_store
from tests.api.held_client import HeldClient
from tests.faults.written import catalogue, request

PRINTABLE = "".join(map(chr, range(33, 127)))
FIELD = re.compile(r'<(?:input|select|textarea|button)[^>]* name="([^"]+)"')
FORM_TYPE = "application/x-www-form-urlencoded"
FORMS = (
    "/fit", "/plans/{plans}/hang", "/plans/{plans}/done", "/sign-in", "/sign-out", "/orders", "/orders/{orders}/state",
    "/installations/{installations}/fit", "/installations/{installations}/records", "/takeoffs",
    "/installations/{installations}/place", "/installations/{installations}/remove",
    "/installations/{installations}/give-up",
)  # fmt: skip
ASKED = (
    "/v1/plans", "/v1/orders", "/v1/takeoffs", "/v1/trays", "/v1/installations", "/v1/stock", "/v1/audit",
    "/v1/installations/{installations}/acceptance", "/v1/plans/{plans}/drawing.svg", "/fit", "/plans", "/orders",
    "/installations", "/records", "/catalogue/trays", "/installations/{installations}/fit", "/sign-in",
)  # fmt: skip
SENT = (
    ("GET", "/v1/plans/{plans}"), ("POST", "/v1/plans"), ("PUT", "/v1/trays/ribbon-12"), ("POST", "/fit"), ("GET", "/"),
    ("DELETE", "/v1/orders/{orders}"), ("POST", "/v1/takeoffs"), ("GET", "/metrics"), ("POST", "/takeoffs"),
)  # fmt: skip


def tells_of_the_inside(text: str) -> bool:
    """Whether a text has something in it that only who looks inside can know."""
    inside = ("Traceback", "sqlalchemy", "sqlite3", "psycopg", "SELECT ", "/service/", ".py\"", 'File "')
    return any(word in text for word in inside)


@cache
def app_with_a_plan() -> tuple[Flask, dict[str, str]]:
    """An application on a file with a small catalogue, a plan, an order and a hung closure; and their ids."""
    folder = tempfile.mkdtemp()
    atexit.register(shutil.rmtree, folder)
    store = open_store(f"sqlite:///{folder}/fuzzed.db")
    store.upgrade()
    store.put_catalogue(catalogue(), AnyRevision())
    app = create_app(Settings(), store)
    app.test_client_class = HeldClient
    client: Any = app.test_client()
    ids = {"plans": client.post("/v1/plans", json=request()).get_json()["id"]}
    for kind, body in (("orders", {"plans": [ids["plans"]]}), ("installations", {"plan": ids["plans"]})):
        ids[kind] = client.post(f"/v1/{kind}", json=body).get_json()["id"]
    return app, ids


def form_seeds() -> list[bytes]:
    """Every form as its page has it, with a word in the fields that are empty."""
    _, ids = app_with_a_plan()
    found = []
    for number, path in enumerate(FORMS):
        html = _client(path).get(path.format(**ids), headers={"Accept": "text/html"}).get_data(as_text=True)
        fields = dict.fromkeys(FIELD.findall(html), "1")
        found.append(bytes([number]) + urlencode(fields | {"plans": ids["plans"], "state": "placed"}).encode())
    return found


def query_seeds() -> list[bytes]:
    """Every query that the description knows, with values that are good in most places, and some that are not."""
    good = {"fits": "true", "retired": "false", "near": "1,2", "limit": "5", "layout": "phone", "kind": "sleeve"}
    good |= dict.fromkeys(("created_from", "created_before", "since"), "2026-03-01T00:00:00Z")
    found = [b"\x04near=1,2&within_km=1e1", b"\x02name=%ff%00", b"\x00cursor=aaaa"]
    for number, path in enumerate(ASKED):
        operation = load_spec().operations.get((re.sub("{[a-z]+}", "{id}", path), "get"))
        names = sorted(operation.query_names - {"cursor"}) if operation else ["name"]
        found.append(bytes([number]) + urlencode({name: good.get(name, "1") for name in names}).encode())
    return found


def head_seeds() -> list[bytes]:
    """Headers that something in the service reads."""
    named = {
        "Accept": "text/csv;q=0.5, */*;q=0", "Origin": "http://[", "If-Match": 'W/"3", "4.1"', "Idempotency-Key": "k",
        "If-None-Match": "*", "Content-Type": "application/json; charset=utf-16", "Authorization": "Bearer tw_",
        "Cookie": "traywright=" + "0" * 32 + ".1." + "0" * 64, "Content-Encoding": "gzip", "Host": "[::1]:x",
        "Sec-Fetch-Site": "same-origin", "X-Forwarded-Proto": "https", "X-Request-ID": "a", "traceparent": "00-1-1-01",
        "Range": "bytes=0-",
    }  # fmt: skip
    texts = [f"{name}\0{value}".encode() for name, value in named.items()]
    return [bytes([number % len(SENT)]) + text for number, text in enumerate(texts)]


def a_form(content: bytes) -> None:
    """A page's form with any body: the first byte says which."""
    if content:
        _sent("POST", FORMS[content[0] % len(FORMS)], data=content[1:], content_type=FORM_TYPE)


def a_query(content: bytes) -> None:
    """An address with any query: the first byte says which. Servers hand on no bytes that are not in ASCII."""
    if content:
        _sent("GET", ASKED[content[0] % len(ASKED)], query=quote_from_bytes(content[1:], safe=PRINTABLE).encode())


def a_head(content: bytes) -> None:
    """Headers with any names and values that a server hands on: the first byte says of which request."""
    if not content:
        return
    method, path = SENT[content[0] % len(SENT)]
    texts = [part.decode("latin-1") for part in content[1:].split(b"\0")]
    headers = [
        (name, value)
        for name, value in zip(texts[::2], texts[1::2], strict=False)
        if name.replace("-", "").isalnum() and name.isascii() and not {"\r", "\n"} & set(value)
    ]
    sent = {"data": b'{"name": "x"}'} if method in ("POST", "PUT") else {}
    _sent(method, path, headers=headers, **sent)


def _client(path: str) -> FlaskClient:
    """A client that holds what is described; of pages nothing is."""
    app, _ = app_with_a_plan()
    return (HeldClient if path.startswith("/v1/") else FlaskClient)(app, app.response_class)


def _sent(method: str, path: str, query: bytes = b"", **sent: Any) -> None:
    """Send it; the client holds the answer against the description, and it is no fault of the server's."""
    _, ids = app_with_a_plan()
    environ = {"QUERY_STRING": query.decode("latin-1")}
    headers = [("Origin", "http://localhost"), *sent.pop("headers", [])]
    answer = _client(path).open(
        path.format(**ids), method=method, environ_overrides=environ, headers=headers, **sent
    )
    text = answer.get_data(as_text=True) if answer.mimetype != "application/pdf" else ""
    assert answer.status_code < 500, f"{method} {path} {query!r} {sent}: {text}"
    if answer.status_code >= 400:
        assert not tells_of_the_inside(text), text
    for name, value in answer.headers:
        assert not {"\r", "\n"} & set(value), (name, value)

"""The files of the demo's second visit, made through the API: a handhole from its plan to its second visit.

``python -m tests.demo.made_story`` writes ``demo/second-visit/`` anew; a test compares. Times and ids are given, so the
same service makes the same bytes.
"""

from __future__ import annotations

import hashlib
import itertools
import sys
import tempfile
import threading
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from unittest.mock import patch

import orjson
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from service.app import create_app
from service.settings import Settings
from service.store import open_store
from tests.demo.crews_figures import FIRST, SECOND, Visit, written_down
from tests.demo.files import CATALOGUE, DEMO
from tests.demo.filling_in import filled_in

FOLDER = DEMO / "second-visit"
AT = "http://127.0.0.1:8080"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
JSON = "application/json"

Document = dict[str, Any]


@dataclass(slots=True)
class Story:
    """What the story leaves behind: its files, and every answer by the name that the page has for it."""

    client: FlaskClient
    now: datetime = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
    files: dict[str, bytes] = field(default_factory=dict)
    answers: dict[str, Document] = field(default_factory=dict)

    def ask(self, name: str, method: str, path: str, **given: Any) -> Document:
        """Ask the service and keep the answer under a name."""
        answer = self.bare(method, path, **given)
        self.answers[name] = orjson.loads(answer.data)
        return self.answers[name]

    def bare(self, method: str, path: str, **given: Any) -> TestResponse:
        """Ask the service for what is no JSON; raises ``AssertionError`` where it refuses."""
        answer = self.client.open(path, method=method, base_url=AT, **given)
        assert answer.status_code < 300, answer.get_data(as_text=True)
        return answer

    def sheets(self, visit: str, plan: str) -> None:
        """Keep the work sheet, drawing and schedule of a plan."""
        for name in ("sheet.pdf", "drawing.svg", "schedule.csv"):
            self.files[f"{visit}-{name}"] = self.bare("GET", f"/v1/plans/{plan}/{name}").data

    def recorded(self, visit: str, plan: Document, hung: str, wrote: Visit) -> None:
        """Fill in the plan's workbook as the crew did, and send it."""
        empty = self.bare("GET", f"/v1/plans/{plan['id']}/plan.xlsx").data
        cells = written_down(plan, _fibre_of(self.answers[visit]), wrote)
        book = filled_in(empty, cells, self.now.replace(tzinfo=None))
        self.files[f"{visit}-filled.xlsx"] = book
        self.ask(f"{visit} records", "POST", f"/v1/installations/{hung}/splice-records", data=book, content_type=XLSX)
        path = f"/v1/installations/{hung}/acceptance?preset=ribbon-average"
        self.ask(f"{visit} acceptance", "GET", path)

    def ordered(self, name: str, plan: str) -> None:
        """Draft the order for the next job as what is known by now would have it; the draft before it is withdrawn."""
        body = {"plans": [plan], "rework": "recorded"}
        order = self.ask(name, "POST", "/v1/orders", json=body)
        tag = self.bare("GET", f"/v1/orders/{order['id']}").headers["ETag"]
        self.bare("DELETE", f"/v1/orders/{order['id']}", headers={"If-Match": tag})


def _fibre_of(hung: Document) -> Mapping[str, str]:
    entries = {entry["code"]: entry["fibre"] for entry in orjson.loads(CATALOGUE)["cables"]}
    return {cable["tag"]: entries[cable["cable"]] for cable in hung["cables"]}


def told() -> Story:
    """The story from its plan to the second visit's records, with three drafts of the next job's order."""
    numbers = itertools.count(1)

    own, at_random = threading.get_ident(), uuid.uuid4

    def next_id() -> uuid.UUID:
        # Neither a server that some other test has in a thread of this process nor a library that wants an id when it
        # is first used is to take one of the story's numbers.
        asks = sys._getframe(1).f_globals["__name__"]
        if threading.get_ident() != own or not asks.startswith("service."):
            return at_random()
        return uuid.UUID(bytes=hashlib.sha256(b"Ferrow Lane 7, %d" % next(numbers)).digest()[:16])

    with tempfile.TemporaryDirectory() as folder, patch("uuid.uuid4", next_id):
        store = open_store(f"sqlite:///{folder}/story.sqlite3", lambda: story.now)
        store.upgrade()
        app = create_app(Settings(), store, lambda: story.now)
        client = app.test_client()
        client.environ_base["HTTP_X_REQUEST_ID"] = "story"
        story = Story(client)
        try:
            _tell(story)
        finally:
            store.close()
    return story


def _tell(story: Story) -> None:
    story.bare("PUT", "/v1/catalogue", data=CATALOGUE, content_type=JSON, headers={"If-None-Match": "*"})
    next_job = story.ask("next job", "POST", "/v1/plans", data=_body("next-job"), content_type=JSON)
    story.ordered("order before", next_job["id"])
    story.ask("fit", "POST", "/v1/fit-checks", data=_body("request"), content_type=JSON)
    plan = story.ask("plan", "POST", "/v1/plans", data=_body("request"), content_type=JSON)
    story.sheets("first", plan["id"])

    story.now = datetime(2026, 3, 9, 16, 40, tzinfo=UTC)
    body = {"plan": plan["id"], "name": "Ferrow Lane, handhole 7", "hung": "2026-03-09", "by": FIRST.by}
    hung = story.ask("first", "POST", "/v1/installations", json=body)["id"]
    story.recorded("first", plan, hung, FIRST)
    story.ordered("order after first", next_job["id"])

    story.now = datetime(2026, 7, 6, 8, 15, tzinfo=UTC)
    path = f"/v1/installations/{hung}/additions"
    added = story.ask("addition", "POST", path, data=_body("addition"), content_type=JSON)
    story.sheets("second", added["id"])

    story.now = datetime(2026, 7, 13, 13, 5, tzinfo=UTC)
    body = {"plan": added["id"], "on": "2026-07-13", "by": SECOND.by}
    story.ask("second", "POST", f"/v1/installations/{hung}/visits", json=body)
    story.recorded("second", added, hung, SECOND)
    story.ordered("order after second", next_job["id"])


def _body(name: str) -> bytes:
    return (FOLDER / f"{name}.json").read_bytes()


def main() -> None:
    """Write the files of the story."""
    for name, content in told().files.items():
        Path(FOLDER / name).write_bytes(content)


if __name__ == "__main__":
    main()

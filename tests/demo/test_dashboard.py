"""The dashboard shows what the service really tells."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from prometheus_client.parser import text_string_to_metric_families

from service.api.metrics import Metrics, Now
from service.store import Queue, Told

BOARD: dict[str, Any] = json.loads((Path(__file__).parents[2] / "demo" / "dashboard.json").read_text("utf-8"))
ASKED = [target["expr"] for panel in BOARD["panels"] for target in panel["targets"]]


def _told() -> dict[str, set[str]]:
    """Every series that the service tells, with the names of its labels."""
    metrics = Metrics()
    metrics.requests.labels("getTray", 200).inc()
    metrics.plan_seconds.labels("createPlan").observe(0.1)
    metrics.proofs_missed.labels("createPlan").inc()
    metrics.contract_violations.labels("getTray").inc()
    metrics.verdict_disagreements.labels("Tray").inc()
    metrics.failed_sign_ins.labels("none").inc()
    metrics.rate_limited.labels("token").inc()
    metrics.rate_uncounted.inc()
    families = text_string_to_metric_families(metrics.text(Now(Queue(1, 1, 1, 1, 1, 1), Told(1, 1, 1, 1, 1))).decode())
    return {sample.name: set(sample.labels) for family in families for sample in family.samples}


def test_every_series_on_the_dashboard_is_told() -> None:
    """No panel asks for a name that the service does not tell, nor groups by a label that it has not."""
    told = _told()
    for expression in ASKED:
        (name,) = set(re.findall(r"traywright_\w+", expression))
        assert name in told, expression
        grouped = re.search(r"by \(([^)]*)\)", expression)
        assert set(grouped[1].split(", ") if grouped else ()) <= told[name], expression


def test_what_operating_is_about_is_on_the_dashboard() -> None:
    """Requests, plan seconds, proofs missed, depth of the queue, contract violations, and who is not let in."""
    shown = set(re.findall(r"traywright_\w+", " ".join(ASKED)))
    asked = {"requests_total", "plan_seconds_bucket", "proofs_missed_total", "chunks", "contract_violations_total"}
    asked |= {"failed_sign_ins_total", "rate_limited_total", "rate_uncounted_total"}
    assert {f"traywright_{name}" for name in asked} <= shown


def test_every_panel_says_what_it_means() -> None:
    """Panels have titles of their own, a description, a place that no other one has, and ask the chosen source."""
    panels = BOARD["panels"]
    assert len({panel["title"] for panel in panels}) == len(panels)
    assert all(panel["description"].endswith(".") for panel in panels)
    cells = [
        (x, y)
        for place in (panel["gridPos"] for panel in panels)
        for x in range(place["x"], place["x"] + place["w"])
        for y in range(place["y"], place["y"] + place["h"])
    ]
    assert len(cells) == len(set(cells))
    assert max(x for x, _ in cells) < 24
    assert {panel["datasource"]["uid"] for panel in panels} == {"${source}"}

"""What is counted, for Prometheus.

A server process counts in its memory; where there are several, in files of one folder, so that whichever is asked can
tell the sum. Without that, every look would find another process, and counters that seem to run back.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, Counter, Histogram, generate_latest
from prometheus_client.metrics_core import GaugeMetricFamily, InfoMetricFamily, Metric
from prometheus_client.multiprocess import MultiProcessCollector
from prometheus_client.registry import Collector

from service import __version__
from service.store import Queue, Told

FOLDER = "PROMETHEUS_MULTIPROC_DIR"
"""The library's own variable. It has to be set before the library is imported."""

_SECONDS = (0.0005, 0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)


class Now(NamedTuple):
    """What the database says now, of takeoffs and of webhooks."""

    queue: Queue
    told: Told


class Metrics:
    """The counters and histograms of one application, in a registry of its own."""

    media_type = CONTENT_TYPE_LATEST

    def __init__(self) -> None:
        self._registry = CollectorRegistry()
        self.requests = Counter(
            "traywright_requests", "Requests by operation and status.", ["operation", "status"], registry=self._registry
        )
        self.plan_seconds = Histogram(
            "traywright_plan_seconds",
            "Time that planning took, by operation.",
            ["operation"],
            buckets=_SECONDS,
            registry=self._registry,
        )
        self.proofs_missed = Counter(
            "traywright_proofs_missed",
            "Plans that fit and of which it is not proven that less would not do, by operation.",
            ["operation"],
            registry=self._registry,
        )
        self.contract_violations = Counter(
            "traywright_contract_violations",
            "Answers that differ from the published description.",
            ["operation"],
            registry=self._registry,
        )
        self.failed_sign_ins = Counter(
            "traywright_failed_sign_ins",
            "Requests that were not let in, by why: no token, one that is not good, or too many of those before.",
            ["why"],
            registry=self._registry,
        )
        self.rate_limited = Counter(
            "traywright_rate_limited",
            "Requests that were one too many, by what they were counted for: a token, or an address without one.",
            ["by"],
            registry=self._registry,
        )
        self.rate_uncounted = Counter(
            "traywright_rate_uncounted",
            "Requests that were let in uncounted since what counts them did not answer.",
            registry=self._registry,
        )
        self.verdict_disagreements = Counter(
            "traywright_verdict_disagreements",
            "Bodies that the published schema refuses and the explaining schema does not.",
            ["schema"],
            registry=self._registry,
        )

    def text(self, looked_up: Now | None) -> bytes:
        """Everything counted so far, in the text format, with what the database says now (None: it does not answer).

        Where several processes serve, all of them are added up.
        """
        counted = self._registry
        if FOLDER in os.environ:
            counted = CollectorRegistry()
            MultiProcessCollector(counted)  # type: ignore[no-untyped-call]
        now = CollectorRegistry()
        now.register(_LookedUp(looked_up))
        return generate_latest(counted) + generate_latest(now)


class _LookedUp(Collector):
    """What is not counted by this process but looked up; nothing old is ever told for new."""

    def __init__(self, now: Now | None) -> None:
        self._now = now

    def collect(self) -> Iterator[Metric]:
        yield InfoMetricFamily("traywright_build", "The version of the service.", {"version": __version__})
        up = "Whether the database answered when this was asked for."
        yield GaugeMetricFamily("traywright_database_up", up, value=float(self._now is not None))
        if self._now is not None:
            yield from _takeoffs(self._now.queue)
            yield from _webhooks(self._now.told)


def _gauge(name: str, says: str, label: str, values: Mapping[str, int]) -> Metric:
    gauge = GaugeMetricFamily(name, says, labels=[label])
    for value, count in values.items():
        gauge.add_metric([value], count)
    return gauge


def _takeoffs(queue: Queue) -> Iterator[Metric]:
    says = "Chunks of takeoffs that are not done, by whether a worker has them: waiting is the depth of the queue."
    yield _gauge("traywright_chunks", says, "state", {"waiting": queue.waiting, "leased": queue.leased})
    says = "Splice points of the takeoffs that are kept, by what came of them; those not proven fit and count twice."
    results = {"fitting": queue.fitting, "not_fitting": queue.unfitting, "not_proven": queue.unproven}
    yield _gauge("traywright_takeoff_points", says, "result", {**results, "faulty": queue.faulty})


def _webhooks(told: Told) -> Iterator[Metric]:
    says = "Deliveries to webhooks that are kept, by what came of them: waiting ones are yet to be made, or made again."
    states = {"waiting": told.waiting, "delivered": told.delivered, "failed": told.failed}
    yield _gauge("traywright_webhook_deliveries", says, "state", states)
    yield _gauge("traywright_webhooks", "Webhooks, by whether they are on.", "state", {"on": told.on, "off": told.off})

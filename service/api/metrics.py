"""What is counted, for Prometheus. Every server process counts for itself."""

from __future__ import annotations

from prometheus_client import (
    CONTENT_TYPE_LATEST,
    CollectorRegistry,
    Counter,
    Gauge,
    Histogram,
    Info,
    generate_latest,
)

from service import __version__
from service.store import Queue

_SECONDS = (0.0005, 0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0)


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
        self.build = Info("traywright_build", "The version of the service.", registry=self._registry)
        self.build.info({"version": __version__})
        self.database_up = Gauge(
            "traywright_database_up", "Whether the database answered when this was asked for.", registry=self._registry
        )
        self.chunks = Gauge(
            "traywright_chunks",
            "Chunks of takeoffs that are not done, by whether a worker has them: waiting is the depth of the queue.",
            ["state"],
            registry=self._registry,
        )
        self.takeoff_points = Gauge(
            "traywright_takeoff_points",
            "Splice points of the takeoffs that are kept, by what came of them; those not proven fit and count twice.",
            ["result"],
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
        self.verdict_disagreements = Counter(
            "traywright_verdict_disagreements",
            "Bodies that the published schema refuses and the explaining schema does not.",
            ["schema"],
            registry=self._registry,
        )

    def tell_queue(self, queue: Queue | None) -> None:
        """Set what the database says; where it does not answer (None) nothing old is told for new."""
        self.database_up.set(queue is not None)
        self.chunks.clear()
        self.takeoff_points.clear()
        if queue is not None:
            self.chunks.labels("waiting").set(queue.waiting)
            self.chunks.labels("leased").set(queue.leased)
            self.takeoff_points.labels("fitting").set(queue.fitting)
            self.takeoff_points.labels("not_fitting").set(queue.unfitting)
            self.takeoff_points.labels("not_proven").set(queue.unproven)
            self.takeoff_points.labels("faulty").set(queue.faulty)

    def text(self) -> bytes:
        """Everything counted so far, in the text format."""
        return generate_latest(self._registry)

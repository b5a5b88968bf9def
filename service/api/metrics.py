"""What is counted, for Prometheus. Every server process counts for itself."""

from __future__ import annotations

from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, Counter, Histogram, generate_latest

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

    def text(self) -> bytes:
        """Everything counted so far, in the text format."""
        return generate_latest(self._registry)

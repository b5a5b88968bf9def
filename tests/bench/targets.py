"""What the core is to reach, and whether a run did."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tests.bench.families import HUBS_BY_NAME, ORDINARY
from tests.bench.figures import Figures

RATIO = 30.0


@dataclass(frozen=True, slots=True)
class Target:
    """Milliseconds in the median and at the 99th percentile, and the share to be proven."""

    median_ms: float
    p99_ms: float
    proven: float | None = None


ORDINARY_POINTS = Target(0.5, 5.0)
HUBS = Target(10.0, 100.0, 1.0)


def target_of(family: str) -> Target | None:
    """The target of a family, None where there is none."""
    if family in ORDINARY:
        return ORDINARY_POINTS
    return HUBS if family == "hub" or family in HUBS_BY_NAME else None


def judged(family: str, found: Figures, ratio: float | None) -> Iterator[str]:
    """Each target of a family with what was found; without a ratio none was measured."""
    target = target_of(family)
    if target is None:
        return
    pairs = [("median", found.median_ms, target.median_ms), ("p99", found.p99_ms, target.p99_ms)]
    for name, value, most in pairs:
        yield f"{family}: {name} {value:.2f} ms, at most {most:g}: {_said(value <= most)}"
    if target.proven is not None:
        yield f"{family}: {found.proven:.1%} proven, {target.proven:.0%} wanted: {_said(found.proven >= target.proven)}"
    if ratio is not None:
        yield f"{family}: CP-SAT with one worker {ratio:.0f} times slower, {RATIO:g} wanted: {_said(ratio >= RATIO)}"


def _said(met: bool) -> str:
    return "met" if met else "NOT MET"

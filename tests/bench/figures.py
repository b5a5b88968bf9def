"""What many answers come to: median, 99th percentile, share proven, trays beyond the least."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from statistics import mean, median
from typing import Any

from service.planning.packing import Problem
from tests.bench.simple_rules import trays_by_rule
from tests.bench.yardsticks import Answer


@dataclass(frozen=True, slots=True)
class Figures:
    """Times in ms; of fewer than 100 cases p99 is the longest. ``proven`` is a share, that nothing fits counts.

    ``excess``: cost beyond the least known in the mean; ``no_answer``: the share without an answer where there is one.
    """

    cases: int
    median_ms: float
    p99_ms: float
    proven: float
    excess: float | None
    no_answer: float

    def document(self) -> dict[str, Any]:
        """As JSON."""
        return asdict(self)


def figures(answers: Sequence[Answer], least: Sequence[int | None]) -> Figures:
    """The figures of a solver; ``least`` is the least cost known of the first cases, None where nothing fits."""
    times = sorted(answer.seconds for answer in answers)
    p99 = times[min(len(times) - 1, -(-len(times) * 99 // 100) - 1)] if len(times) >= 100 else times[-1]
    known = [(answer, cost) for answer, cost in zip(answers, least, strict=False) if cost is not None]
    over = [answer.values[0] - cost for answer, cost in known if answer.values is not None]
    return Figures(
        len(answers),
        median(times) * 1e3,
        p99 * 1e3,
        sum(answer.proven for answer in answers) / len(answers),
        mean(over) if over else None,
        1 - len(over) / len(known) if known else 0.0,
    )


def least_costs(answers: Sequence[Answer]) -> list[int | None]:
    """Each case's least cost where the core has proven it."""
    return [answer.values[0] if answer.values and answer.cost_bound == answer.values[0] else None for answer in answers]


def least_known(*answers: Sequence[Answer]) -> list[int | None]:
    """The least cost that any solver found in each case, proven or not."""
    found = ([answer.values[0] for answer in case if answer.values] for case in zip(*answers, strict=True))
    return [min(costs, default=None) for costs in found]


def excess_by_rule(problems: Sequence[Problem], least: Sequence[int | None], best: bool) -> tuple[float, float] | None:
    """(trays beyond the least in the mean, share without an answer) of first or best fit; None where not comparable."""
    over: list[int] = []
    cases = 0
    for problem, cost in zip(problems, least, strict=True):
        if cost is None or problem.minimise != "trays" or problem.hanging or any(problem.reserve):
            continue
        cases += 1
        trays = trays_by_rule(problem, best)
        if trays is not None:
            over.append(trays - cost)
    return (mean(over), 1 - len(over) / cases) if over else None

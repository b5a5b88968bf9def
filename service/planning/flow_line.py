"""Time of a flow line: jobs pass the same stages in the same order, one at a time in each stage.

n equal jobs with stage times t take ``(n - 1) max t + sum t``. For unequal jobs in a given order, a job starts in a
stage when both it and the stage are free. Johnson's rule gives the best order for two stages.
"""

from __future__ import annotations

from collections.abc import Sequence


def flow_line_s(times: Sequence[Sequence[float]]) -> float:
    """Seconds until the last job leaves the last stage; ``times[job][stage]``, jobs in the order worked."""
    return blocks_s([(stages, 1) for stages in times])


def blocks_s(blocks: Sequence[tuple[Sequence[float], float]]) -> float:
    """The same for blocks of (stage times, number of equal jobs), worked one block after the other.

    The longest path through a block enters it at some stage, steps on to each later one once, and waits the other
    jobs out in the slowest stage on its way. Numbers may be fractions from 1 up (an expected number of attempts).
    """
    ready: list[float] = []
    for stages, number in blocks:
        if number <= 0:
            continue
        ready = ready or [0.0] * len(stages)
        done = []
        for last in range(len(stages)):
            total = slowest = latest = 0.0
            for first in range(last, -1, -1):
                total += stages[first]
                slowest = max(slowest, stages[first])
                latest = max(latest, ready[first] + total + max(0.0, number - 1) * slowest)
            done.append(latest)
        ready = done
    return ready[-1] if ready else 0.0


def johnson_order(times: Sequence[tuple[float, float]]) -> tuple[int, ...]:
    """The order of jobs (by index) that ends soonest on two stages, after S. M. Johnson (1954).

    First those that are shorter in the first stage, by rising first time, then the others by falling second time;
    of equals the earlier index first.
    """
    front = sorted((i for i, (a, b) in enumerate(times) if a < b), key=lambda i: (times[i][0], i))
    back = sorted((i for i, (a, b) in enumerate(times) if a >= b), key=lambda i: (-times[i][1], i))
    return (*front, *back)


def surrogate_order(times: Sequence[Sequence[float]]) -> tuple[int, ...]:
    """An order for any number of stages: Johnson's rule on all but the last stage against all but the first.

    Best for two stages, and for three where the middle one is dominated by a neighbour; otherwise a good order.
    """
    return johnson_order([(sum(stages[:-1]), sum(stages[1:])) for stages in times])

"""The command: draw cases, judge them, print the table."""

from __future__ import annotations

import argparse
import signal
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from hashlib import sha256
from pathlib import Path
from time import monotonic
from traceback import format_exc

from service import planning, verifying
from service.planning import packing
from tests.bench import agreement
from tests.bench.agreement.core_cases import family_case, hasty_case, medium_case, medium_hasty_case, small_case
from tests.bench.agreement.outcome import Outcome, Tally, table
from tests.bench.agreement.plan_cases import larger_point, small_point

KINDS: dict[str, tuple[Callable[[int, float], Outcome], int]] = {
    "small": (small_case, 6),
    "points": (small_point, 5),
    "hasty": (hasty_case, 2),
    "medium": (medium_case, 2),
    "medium-hasty": (medium_hasty_case, 2),
    "families": (family_case, 2),
    "larger-points": (larger_point, 1),
}
"""The kinds of cases, and how many of twenty are of each."""
TURN = tuple(name for name, (_, share) in KINDS.items() for _ in range(share))
CHUNK = 100


def kind_of(case: int) -> str:
    """The kind of a case by its number."""
    return TURN[case % len(TURN)]


def judged(case: int, seconds: float) -> Outcome:
    """One case; an error is a disagreement too."""
    try:
        return KINDS[kind_of(case)][0](case, seconds)
    except Exception:  # whatever goes wrong in a case is told with the case, and the run goes on
        return Outcome(kind_of(case), case, "", (format_exc(),))


def judged_all(cases: list[int], seconds: float, workers: int) -> Iterator[Outcome]:
    """The outcomes in the order of the cases."""
    if workers == 1:
        yield from (judged(case, seconds) for case in cases)
        return
    with ProcessPoolExecutor(workers) as pool:
        yield from pool.map(partial(judged, seconds=seconds), cases, chunksize=5)


def sources() -> str:
    """A short digest of what is judged, so that a run says which state of the code it was of."""
    rooms = [Path(packing.__path__[0]), Path(verifying.__path__[0]), Path(planning.__path__[0])]
    files = sorted({path for room in rooms for path in room.rglob("*.py")})
    return sha256(b"".join(path.read_bytes() for path in files)).hexdigest()[:12]


def main() -> int:
    """Run and print; 1 on any disagreement."""
    parser = argparse.ArgumentParser(description=agreement.__doc__)
    parser.add_argument("--cases", type=int, default=1000, help="how many cases")
    parser.add_argument("--first", type=int, default=0, help="the number of the first case")
    parser.add_argument("--only", nargs="+", choices=tuple(KINDS), help="only these kinds of cases")
    parser.add_argument("--workers", type=int, default=1, choices=(1, 2), help="processes")
    parser.add_argument("--seconds", type=float, default=2.0, help="time limit of the general solver on one case")
    options = parser.parse_args()
    numbers = range(options.first, options.first + options.cases)
    cases = [case for case in numbers if not options.only or kind_of(case) in options.only]
    print(f"cases {numbers.start} to {numbers.stop - 1}, code {sources()}", flush=True)
    tallies: dict[str, Tally] = {}
    began, following = monotonic(), options.first
    # A run that is ended from outside still prints what it found so far.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        for done, outcome in enumerate(judged_all(cases, options.seconds, options.workers), start=1):
            tallies.setdefault(outcome.family, Tally()).add(outcome)
            following = outcome.case + 1
            for text in outcome.wrong:
                print(f"DISAGREEMENT case {outcome.case} ({outcome.family}): {text}\n  see it again: python -m "
                      f"tests.bench.agreement --first {outcome.case} --cases 1", flush=True)  # fmt: skip
            if done % CHUNK == 0:
                wrong = sum(tally.wrong for tally in tallies.values())
                print(f"{done} of {len(cases)} in {monotonic() - began:.0f} s, {wrong} disagreements, "
                      f"go on with --first {following}", file=sys.stderr, flush=True)  # fmt: skip
    except KeyboardInterrupt:
        print(f"stopped; go on with --first {following}", file=sys.stderr)
    print(table(tallies))
    return 1 if any(tally.wrong for tally in tallies.values()) else 0


if __name__ == "__main__":
    sys.exit(main())

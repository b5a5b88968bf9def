"""Cases of the packing core: problems in whole numbers."""

from __future__ import annotations

from random import Random

from service.planning.packing import Problem, solve
from tests.bench.agreement.comparing import compared, reference
from tests.bench.agreement.medium import medium
from tests.bench.agreement.outcome import Outcome
from tests.bench.agreement.through_json import could_be_asked_for, verified
from tests.bench.families import EXTREME, FAMILIES, HUBS_BY_NAME
from tests.planning.packing.cases import tiny

NAMES = tuple(FAMILIES)
SELDOM = (*HUBS_BY_NAME, *EXTREME)
"""Families that a general solver cannot finish; drawn a fifth as often."""
SEED = 20_000_000
"""Seeds from here on are used by no test."""


def judged(family: str, case: int, problem: Problem, seconds: float) -> Outcome:
    """Solve, compare with a reference, and let the verifier judge the answer as JSON."""
    packing = solve(problem)
    best, proven = reference(problem, seconds)
    verdict, wrong = compared(problem, packing, best, proven)
    shown: bool | None = None
    if packing.fits and could_be_asked_for(problem):
        breaches, shown = verified(problem, packing)
        wrong += breaches
    return Outcome(family, case, verdict, tuple(wrong), shown, packing.fits)


def small_case(case: int, seconds: float) -> Outcome:
    """A small problem with every rule now and then."""
    return judged("small, every rule", case, tiny(SEED + case), seconds)


def medium_case(case: int, seconds: float) -> Outcome:
    """A problem of middling size with every rule at once."""
    return judged("medium, every rule", case, medium(SEED + case), seconds)


def family_case(case: int, seconds: float) -> Outcome:
    """A problem of realistic size."""
    rng = Random(SEED + case)
    family = rng.choice(NAMES)
    if family in SELDOM and rng.random() < 0.8:
        family = rng.choice([name for name in NAMES if name not in SELDOM])
    return judged(family, case, FAMILIES[family](SEED + case), seconds)


def hasty_case(case: int, seconds: float) -> Outcome:
    """A small problem with hardly any nodes: what is not proven must be said so, and no bound may pass the truth."""
    return cut_short("small, few nodes", case, tiny(SEED + case), Random(case).randint(0, 40), seconds)


def medium_hasty_case(case: int, seconds: float) -> Outcome:
    """The same of middling size, where the searches are cut short at every stage."""
    return cut_short("medium, few nodes", case, medium(SEED + case), 2 ** Random(case).randint(2, 11), seconds)


def cut_short(family: str, case: int, problem: Problem, nodes: int, seconds: float) -> Outcome:
    """Solve with so many nodes and compare with a reference."""
    packing = solve(problem, node_limit=nodes)
    verdict, wrong = compared(problem, packing, *reference(problem, seconds))
    return Outcome(family, case, verdict, tuple(wrong), None, packing.fits)

"""Another closure of the catalogue."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from service.domain.refusal import Remedy
from service.planning.effort import closures_most
from service.planning.mending.costing import closure_cost
from service.planning.mending.trial import Trial
from service.planning.ranking import judge_all

NODES_EACH = 2_000


def other_closure(trial: Trial) -> Iterator[Remedy]:
    """The closure that would be taken if every one that was not asked for could be, judged in full.

    Of very many, or for very many splices, those that come first by their code.
    """
    request = trial.request
    codes = tuple(sorted(set(trial.catalogue.closures) - set(request.closures)))
    if not codes or request.existing_trays:
        return
    wide = replace(request, closures=codes[: closures_most(trial.work.splices)])
    best = judge_all(wide, trial.work, trial.catalogue, trial.stowage, trial.cables, NODES_EACH)[0]
    if best.fits:
        cost, currency = closure_cost(best.closure, trial.closure)
        price = best.price
        paid = f"; with its trays {price[0]:.2f} {price[1]}" if price is not None else ""
        text = f"take closure {best.closure.code} ({best.closure.title}): it holds all{paid}"
        yield Remedy("closure", best.closure.code, True, text, (best.closure.code,), None, cost, currency, True)

"""What each further restriction costs: the best of one model, of two, of three ..."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from service.domain.catalogue import Closure
from service.domain.closure_kinds import ClosureKinds, KindsRow, ModelShare
from service.planning.closure_kinds.choice import Choice, best_choice
from service.planning.closure_kinds.costs import Costs, costs_of, without_outdone
from service.planning.closure_kinds.levels import levels_of
from service.planning.closure_kinds.measuring import Measured, measured
from service.planning.closure_kinds.offers import PointClass


def kinds_table(
    classes: Sequence[PointClass], closures: Mapping[str, Closure], most: int | None, rows: int
) -> ClosureKinds:
    """The table with its ``rows`` first restrictions (fewer where there are fewer models), and the one asked for."""
    scale = measured(classes, closures)
    costs = costs_of(classes, scale.amounts)
    free = _row(costs, scale, len(costs.models), _cheapest(costs), None)
    asked = sorted({*range(1, rows + 1), *([most] if most else [])})
    asked = [each for each in asked if each <= len(costs.models)] or [1] * bool(costs.models)
    told = _rows(costs, scale, asked, free.total)
    chosen = next((row for row in reversed(told) if most and row.most <= most), None)
    return ClosureKinds(
        scale.measure, scale.unit, costs.points, len(costs.rows), costs.unfit, free, tuple(told), chosen, scale.notes
    )


def _rows(costs: Costs, scale: Measured, asked: Sequence[int], best_total: Decimal) -> list[KindsRow]:
    narrowed = without_outdone(costs)
    levels = levels_of(narrowed)
    number = {model: place for place, model in enumerate(costs.models)}
    told: list[KindsRow] = []
    known: Choice | None = None
    for most in asked:
        choice = best_choice(levels, min(most, levels.models), known.chosen if known else ())
        if known is None or (choice.unserved, choice.total) < (known.unserved, known.total):
            known = choice
        else:
            # One more model would not help: the fewer are kept, with what is known of more of them.
            known = choice._replace(chosen=known.chosen, unserved=known.unserved, total=known.total)
        places = tuple(number[narrowed.models[place]] for place in known.chosen)
        told.append(_row(costs, scale, most, places, known, best_total))
    return told


def _row(
    costs: Costs,
    scale: Measured,
    most: int,
    places: tuple[int, ...],
    choice: Choice | None,
    best_total: Decimal | None = None,
) -> KindsRow:
    """A row; without a ``choice`` it is each point's own cheapest, which needs no proof."""
    points = dict.fromkeys(places, 0)
    sums = dict.fromkeys(places, 0)
    unserved = costs.unfit
    for row, count in costs.rows.items():
        cost, place = min(((cost, place) for place in places if (cost := row[place]) is not None), default=(0, -1))
        if place < 0:
            unserved += count
            continue
        points[place] += count
        sums[place] += 0 if costs.models[place] in scale.unsized else cost * count
    shares = tuple(ModelShare(costs.models[place], points[place], scale.told(sums[place])) for place in sorted(places))
    total = sum(sums.values())
    below = 0 if choice is None else choice.total - choice.total_least
    served = unserved == costs.unfit
    return KindsRow(
        most,
        shares,
        unserved,
        scale.told(total),
        scale.told(total) - best_total if served and best_total is not None else (Decimal(0) if served else None),
        choice is None or choice.optimal,
        unserved if choice is None else costs.unfit + choice.unserved_least,
        scale.told(max(0, total - below)),
    )


def _cheapest(costs: Costs) -> tuple[int, ...]:
    """The models of a build in which each point takes its own cheapest, the first by code where several are."""
    return tuple(
        sorted({min((cost, place) for place, cost in enumerate(row) if cost is not None)[1] for row in costs.rows})
    )

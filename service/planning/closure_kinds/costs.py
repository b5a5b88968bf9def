"""The choice in whole numbers: what each model costs each class of splice points, told as short as it can be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from service.planning.closure_kinds.offers import Offer, PointClass

Row = tuple[int | None, ...]
"""What one point costs in each model; None where the model does not fit."""


class Costs(NamedTuple):
    """Classes of equal cost rows with their points, over the models by code; ``unfit`` points fit none of them."""

    models: tuple[str, ...]
    rows: Mapping[Row, int]
    unfit: int

    @property
    def points(self) -> int:
        """All splice points of the build."""
        return self.unfit + sum(self.rows.values())


def costs_of(classes: Iterable[PointClass], amounts: Mapping[Offer, int]) -> Costs:
    """Merge what costs the same in every model. The dearer of two offers of one model is not looked at."""
    seen = list(classes)
    models = tuple(sorted({offer.closure for each in seen for offer in each.offers}))
    column = {model: place for place, model in enumerate(models)}
    rows: dict[Row, int] = {}
    unfit = 0
    for each in seen:
        if not each.offers:
            unfit += each.points
            continue
        row: list[int | None] = [None] * len(models)
        for offer in each.offers:
            place, cost = column[offer.closure], amounts[offer]
            before = row[place]
            row[place] = cost if before is None else min(before, cost)
        rows[tuple(row)] = rows.get(tuple(row), 0) + each.points
    return Costs(models, {row: points for row, points in rows.items() if points > 0}, unfit)


def without_outdone(costs: Costs) -> Costs:
    """Leave out each model that another one equals or betters for every class: some best choice does without it.

    Of models that cost the same everywhere the first by code stays.
    """
    columns = list(zip(*costs.rows, strict=True)) if costs.rows else []
    kept: list[int] = []
    for place, column in enumerate(columns):
        rivals = (other for other in range(len(columns)) if other != place)
        if not any(_outdoes(columns[other], column, other < place) for other in rivals):
            kept.append(place)
    models = tuple(costs.models[place] for place in kept)
    rows: dict[Row, int] = {}
    for row, points in costs.rows.items():
        short = tuple([row[place] for place in kept])
        rows[short] = rows.get(short, 0) + points
    return Costs(models, rows, costs.unfit)


def _outdoes(one: Row, other: Row, first: bool) -> bool:
    """Whether ``one`` is nowhere dearer than ``other``; where they are equal, the first of them outdoes the second."""
    if one == other:
        return first
    return all(b is None or (a is not None and a <= b) for a, b in zip(one, other, strict=True))

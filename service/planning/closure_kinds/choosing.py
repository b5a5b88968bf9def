"""The way in: at most so many closure models for a whole build."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from service.domain.catalogue import Closure
from service.domain.closure_kinds import ClosureKinds
from service.planning.closure_kinds.offers import Offer, PointClass

ROWS = 8
"""How many restrictions the table tells: one model, two, ... eight."""


def choose_closure_kinds(
    classes: Iterable[PointClass], closures: Mapping[str, Closure], most: int | None = None, rows: int = ROWS
) -> ClosureKinds:
    """The table of 1 to ``rows`` closure models for a build, and the row for at most ``most``.

    ``classes`` are the splice points with what each model would come to there, in any order, equal ones merged or not;
    they may come one by one. ``closures`` has every model offered. First the fewest points are left without a closure,
    then the total is least; the measure is one for the whole build (:mod:`measuring`). A row says ``optimal`` only
    where that was shown in whole numbers. The price of an offer is what the planner ranks closures by: closure and new
    trays, without sleeves and materials.

    Raises ``ValueError`` for ``most`` or ``rows`` under 1, points under 1 in a class, or a negative price.
    """
    if rows < 1 or (most is not None and most < 1):
        raise ValueError("at least one closure model has to be allowed")
    points: dict[tuple[Offer, ...], int] = {}
    for each in classes:
        if each.points < 1:
            raise ValueError("a class has at least one splice point")
        points[each.offers] = points.get(each.offers, 0) + each.points
    listed = [PointClass(number, offers) for offers, number in points.items()]
    from service.planning.closure_kinds.table import kinds_table  # numpy: not before somebody asks

    return kinds_table(listed, closures, most, rows)

"""Choosing few kinds of closure for a whole takeoff, from what each closure would come to for each demand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from service.building.offers import APART, offers_read
from service.documents.closure_kinds import kinds_to
from service.domain.catalogue import Catalogue
from service.domain.takeoff import Choice, Judged
from service.planning.closure_kinds import PointClass, choose_closure_kinds


def choose_closures(catalogue: Catalogue, most: int, judged: Iterable[Judged]) -> Choice:
    """At most so many closures at the least total price, and what each further restriction would cost."""
    # Demands that differ in slack or site alone cost the same in every closure: a build has few classes of them, and
    # they are counted as they come, so that memory does not grow with the build.
    points: Counter[tuple[tuple[str, str | None], ...]] = Counter()
    for each in judged:
        if each.closures != APART:
            points[tuple(sorted(each.closures.items()))] += each.points
    classes = [PointClass(count, offers_read(dict(closures))) for closures, count in points.items()]
    kinds = choose_closure_kinds(classes, catalogue.closures, most)
    return Choice(kinds.chosen.closures if kinds.chosen is not None else (), kinds_to(kinds))

"""Choosing few kinds of closure for a whole takeoff, from what each closure would come to for each demand."""

from __future__ import annotations

from collections.abc import Iterable

from service.building.offers import APART, offers_read
from service.documents.closure_kinds import kinds_to
from service.domain.catalogue import Catalogue
from service.domain.takeoff import Choice, Judged
from service.planning.closure_kinds import PointClass, choose_closure_kinds


def choose_closures(catalogue: Catalogue, most: int, judged: Iterable[Judged]) -> Choice:
    """At most so many closures at the least total price, and what each further restriction would cost."""
    parts = (each for each in judged if each.closures != APART)
    classes = [PointClass(each.points, offers_read(each.closures)) for each in parts]
    kinds = choose_closure_kinds(classes, catalogue.closures, most)
    return Choice(kinds.chosen.closures if kinds.chosen is not None else (), kinds_to(kinds))

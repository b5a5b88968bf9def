"""What is done with the demands of a takeoff, as a worker is given it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass

from service.domain.catalogue import Catalogue
from service.domain.records import Tally
from service.domain.takeoff import Choice, DemandAnswer, DemandResult, Judged

Plan = Callable[[Catalogue, int, bytes, Collection[str] | None, Sequence[Tally]], DemandResult]
"""Catalogue, number and request of a demand, the closures chosen for the whole build (None: no choice), and what splice
records had taught when the takeoff was received."""

Judge = Callable[[Catalogue, int, bytes], Judged]
"""Catalogue, number and request of a demand to what each closure would come to."""

Choose = Callable[[Catalogue, int, Iterable[Judged]], Choice]
"""Catalogue, how many kinds of closure at most, and all demands judged, to the choice."""

AddUp = Callable[[Iterable[DemandAnswer]], bytes]
"""All plans of a takeoff to the document of its totals (JSON)."""


@dataclass(frozen=True, slots=True)
class DemandWork:
    """The four things that are done in chunks. Pure functions of modules, so that processes can be sent them."""

    plan: Plan
    judge: Judge
    choose: Choose
    add_up: AddUp

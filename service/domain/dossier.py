"""A stored plan with all that its sheets are drawn from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from service.domain.catalogue import Cable, Catalogue, Tray
from service.domain.installation import LaidSplice
from service.domain.plan import ParkedEnds, Plan
from service.domain.request import PlanRequest


@dataclass(frozen=True, slots=True)
class Dossier:
    """A plan, the request that it answers, and the catalogue as it was when it was planned.

    ``lying`` are the splices that the closure held before, where it hangs already: a sheet shows them as they are and
    marks what is new; ``parked`` are the ends that it held parked, each with the position of its tray, so that a crew
    finds those that are to be spliced. ``link`` is the address that leads to the plan, where one is known.
    """

    id: str
    created: datetime
    plan: Plan
    request: PlanRequest
    catalogue: Catalogue
    link: str | None = None
    lying: tuple[LaidSplice, ...] = ()
    parked: tuple[tuple[int, ParkedEnds], ...] = ()

    def cable(self, tag: str) -> Cable | None:
        """The catalogue's entry of a cable at the point, None where the tag or its code is not known."""
        codes = {each.tag: each.cable for each in self.request.cables}
        return self.catalogue.cables.get(codes.get(tag, ""))

    def tray(self, code: str) -> Tray | None:
        """The catalogue's entry of a tray model, None where it is not known."""
        return self.catalogue.trays.get(code)

    def lying_in(self, position: int) -> tuple[LaidSplice, ...]:
        """The splices that lay in a tray before."""
        return tuple(splice for splice in self.lying if splice.position == position)

    def parked_in(self, position: int) -> tuple[ParkedEnds, ...]:
        """The ends that lay parked in a tray before."""
        return tuple(ends for at, ends in self.parked if at == position)

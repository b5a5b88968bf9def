"""One end of a splice, told so that it can be found in the cable: tube, ribbon, fibres and their colours."""

from __future__ import annotations

from dataclasses import dataclass

from service.domain.catalogue import Cable
from service.domain.splices import RibbonEnd
from service.standards.colours import colour


@dataclass(frozen=True, slots=True)
class EndFacts:
    """Where an end is found in its cable.

    ``fibres`` are numbered through the cable, ``positions`` within their ribbon (that is what the colours follow).
    Without a catalogue entry of the cable only tag and numbers of the plan are known: tube None, no fibres.
    """

    cable: str
    leaves: bool
    ribbon: int
    half: int | None
    tube: int | None
    fibres: tuple[int, ...]
    positions: tuple[int, ...]

    @property
    def tube_colour(self) -> str | None:
        """The colour of the tube in words."""
        return None if self.tube is None else colour(self.tube).text

    @property
    def fibre_colours(self) -> tuple[str, ...]:
        """The colour of each fibre in words, in order."""
        return tuple(colour(position).text for position in self.positions)


def end_facts(end: RibbonEnd, cable: Cable | None, fibres: int) -> EndFacts:
    """The facts of an end that a splice of so many ``fibres`` joins."""
    if cable is None:
        known = (end.fibre,) if end.fibre is not None else ()
        return EndFacts(end.cable, end.end == "out", end.ribbon, end.half, None, known, ())
    before = (end.ribbon - 1) * cable.ribbon_fibres
    # The second twelve of a divided ribbon starts behind the first.
    start = 1 if end.half in (None, 1) else fibres + 1
    first = start if end.fibre is None else end.fibre - before
    positions = tuple(range(first, first + fibres))
    numbers = tuple(before + position for position in positions)
    tube = cable.tube_of_ribbon(end.ribbon)
    return EndFacts(end.cable, end.end == "out", end.ribbon, end.half, tube, numbers, positions)

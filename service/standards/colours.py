"""The 12-colour order of fibres, ribbons, tubes and units, with tracers from the thirteenth on.

Order and tracer rule of TIA-598-C as Wikipedia restates them (secondary): colours repeat with a
black tracer, on black with a yellow one, and every further dozen adds one tracer.
"""

from __future__ import annotations

from dataclasses import dataclass

from service.standards.provenance import Source

ORDER = ("blue", "orange", "green", "brown", "slate", "white", "red", "black", "yellow", "violet", "rose", "aqua")
"""The twelve colours; position 1 is blue."""

SOURCE = Source("TIA-598-C, colour table as Wikipedia restates it (TIA-598-C)", "secondary")


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour and its tracers; ``tracer_colour`` is None where there is no tracer."""

    name: str
    tracers: int = 0
    tracer_colour: str | None = None

    @property
    def text(self) -> str:
        """In words: ``"aqua"``, ``"aqua, 1 black tracer"``, ``"black, 2 yellow tracers"``."""
        if not self.tracers:
            return self.name
        return f"{self.name}, {self.tracers} {self.tracer_colour} tracer{'' if self.tracers == 1 else 's'}"


def colour(position: int) -> Colour:
    """The colour of a position counted from 1; ``ValueError`` for a position below 1."""
    if position < 1:
        raise ValueError("A position is counted from 1.")
    tracers, index = divmod(position - 1, len(ORDER))
    name = ORDER[index]
    if not tracers:
        return Colour(name)
    return Colour(name, tracers, "yellow" if name == "black" else "black")


def position(of: Colour) -> int:
    """The position of a colour, the inverse of :func:`colour`; ``ValueError`` for a colour outside the order."""
    if of.name not in ORDER:
        raise ValueError(f"{of.name} is not one of the twelve colours.")
    return of.tracers * len(ORDER) + ORDER.index(of.name) + 1

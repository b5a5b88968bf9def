"""One end of a splice in words and colours: its cable, ribbon, tube, and the fibre where it is one."""

from __future__ import annotations

from service.domain.catalogue import Cable
from service.domain.splices import RibbonEnd
from service.sheets.drawing.words import Words
from service.standards.colours import colour


def end_words(end: RibbonEnd, cable: Cable | None, fibres: int) -> list[Words]:
    """The pieces of one end that a splice of so many ``fibres`` joins; numbers alone where the cable is not known."""
    tag = f"{end.cable} (out)" if end.end == "out" else end.cable
    if end.fibre is not None:
        pieces = [Words(f"{tag} fibre {end.fibre}", bold=True)]
        if cable is not None:
            place = (end.fibre - 1) % cable.ribbon_fibres + 1
            name = colour(place).text
            pieces += [_tube(end, cable), Words(f"{place} {name}", place)]
        return pieces
    pieces = [Words(f"{tag} ribbon {end.ribbon}", bold=True)]
    if end.half is not None:
        first = 1 if end.half == 1 else fibres + 1
        pieces.append(Words(f"its fibres {first}-{first + fibres - 1}"))
    if cable is not None:
        pieces.append(_tube(end, cable))
    return pieces


def tube_words(tube: int) -> Words:
    """A tube by number and colour."""
    return Words(f"tube {tube} {colour(tube).text}", tube)


def _tube(end: RibbonEnd, cable: Cable) -> Words:
    return tube_words(cable.tube_of_ribbon(end.ribbon))

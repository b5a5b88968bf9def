"""Bundles that may be cut, as lots of parts: a cut turns one part into two smaller ones of the same likeness."""

from __future__ import annotations

from service.planning.packing.case import CUT, Case, Lot
from service.planning.packing.lots import lots_for_pieces
from service.planning.packing.patterns.model import Model, model_of
from service.planning.packing.patterns.ways import Cut

MOST_CUTS = 1_500
"""With more ways to cut than this the model is not made."""


def model_of_parts(case: Case, most: int) -> Model | None:
    """The model in which up to ``most`` cuts are made; None where there are too many ways to do so."""
    lots = lots_for_pieces(case)
    largest: dict[int, int] = {}
    for lot in lots:
        if lot.cut == CUT:
            largest[lot.alike] = max(lot.size, largest.get(lot.alike, 0))
    if sum([size * size // 4 for size in largest.values()]) > MOST_CUTS:
        return None
    place = {(lot.alike, lot.size): n for n, lot in enumerate(lots) if lot.cut == CUT}
    cuts: list[Cut] = []
    for alike, longest in sorted(largest.items()):
        for size in range(1, longest + 1):
            if (alike, size) not in place:
                place[alike, size] = len(lots)
                lots.append(Lot(alike, size, 0, CUT))
        for size in range(2, longest + 1):
            for part in range(1, size // 2 + 1):
                cuts.append((place[alike, size], place[alike, part], place[alike, size - part]))
    supply = [lot.count for lot in lots]
    for (alike, size), n in place.items():
        supply[n] = sum([o.count * (o.size // size) for o in lots if o.alike == alike and o.cut == CUT])
    return model_of(case, lots, supply, cuts, most)

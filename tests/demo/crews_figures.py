"""What the crews of the demo's second visit wrote down: made up, of the size that a trade column would report."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from service.sheets.schedule import filled
from tests.demo.filling_in import Cells

Document = dict[str, Any]

_HUNDREDTH = 100


@dataclass(frozen=True, slots=True)
class Remade:
    """How often a joint was made again, and how often after its sleeve had shrunk."""

    remakes: int
    after_shrinking: int
    note: str


@dataclass(frozen=True, slots=True)
class Visit:
    """What a crew wrote down: by the splice's row from 1, and for a fibre of it from 1, dB forth and back."""

    by: str
    on: datetime
    remade: Mapping[int, Remade]
    losses: Mapping[tuple[int, int], tuple[float, float]] = field(default_factory=dict)


FIRST = Visit(
    "Crew 2",
    datetime(2026, 3, 9),
    {
        3: Remade(2, 0, "Fibre 4: cleave, then dirt."),
        14: Remade(1, 1, "Fibre 9 open after the oven."),
        20: Remade(1, 0, "Fibre 1: cleave."),
    },
    {
        (5, 7): (0.14, 0.24),
        (11, 3): (0.15, 0.25),
        (17, 12): (-0.11, 0.23),
    },
)
SECOND = Visit("Crew 1", datetime(2026, 7, 13), {1: Remade(2, 2, "Wind in the tent; fibres 2 and 11.")})


def written_down(plan: Document, fibre: Mapping[str, str], visit: Visit) -> Cells:
    """All cells that the crew of a visit filled in; ``fibre`` says of which kind the fibre of each cable is."""
    splices = [splice for tray in plan["trays"] for splice in tray["splices"]]
    cells: dict[tuple[str, int, str], Any] = {}
    loss_row = 2
    for number, splice in enumerate(splices, 1):
        remade = visit.remade.get(number)
        told = [remade.remakes if remade else 0, remade.after_shrinking if remade else 0, visit.by, visit.on]
        told.append(remade.note if remade else None)
        for head, value in zip(filled.FILLED_ON_SPLICES, told, strict=True):
            if value is not None:
                cells[filled.SPLICES, number + 1, head] = value
        kinds = [fibre[splice[side]["cable"]] for side in ("from", "to")]
        for place, (forth, back) in enumerate(_losses(number, splice["fibres"], kinds), 1):
            forth, back = visit.losses.get((number, place), (forth, back))
            cells[filled.LOSSES, loss_row, filled.FORTH] = forth
            cells[filled.LOSSES, loss_row, filled.BACK] = back
            loss_row += 1
    return cells


def _losses(number: int, fibres: int, kinds: Sequence[str]) -> Iterator[tuple[float, float]]:
    """0.02 to 0.07 dB, both ways alike where the fibres are; else a gain on the way into the smaller mode field.

    Fibre of a smaller mode field scatters more light back, so an OTDR shows a gain on the way into it and as much loss
    on the way out (from memory); 0.05 dB stand for G.652.D joined to G.657.A1, which is made up.
    """
    narrow = [kind != "G.652.D" for kind in kinds]
    seen = 5 * (narrow[1] - narrow[0])
    for place in range(fibres):
        true = 2 + (7 * number + 5 * place) % 6
        yield (true - seen) / _HUNDREDTH, (true + seen) / _HUNDREDTH

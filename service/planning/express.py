"""The room that uncut tubes and ribbons of an express cable take in the closure."""

from __future__ import annotations

import math
from typing import NamedTuple

from service.domain.catalogue import Cable, Closure
from service.planning.slack import exact, whole_up
from service.planning.storage import EndForm, end_area_mm2


class ExpressStorage(NamedTuple):
    """What one cable needs of the closure's express room (None: cannot be judged), and what to know about it."""

    need_mm2: float | None
    notes: tuple[str, ...] = ()


def check_express(
    closure: Closure, cable: Cable, express_tubes: int, express_ribbons: int, window_mm: float, fill: float
) -> ExpressStorage:
    """Room for the unopened tubes, and for the uncut ribbons of opened ones, over the length of the window.

    They lie in ``ceil(window / express turn)`` turns; each takes its cross-section a turn, over the fill. Without the
    tube's diameter its ribbons' own cross-sections stand in, with a note. Nothing uncut needs no room; where the
    closure gives no express room or turn, there is a note and no judgement.
    """
    if not 0 < fill <= 1:
        raise ValueError("A fill is above 0 and at most 1.")
    if express_tubes <= 0 and express_ribbons <= 0:
        return ExpressStorage(0.0)
    if closure.express_mm2 is None or closure.express_turn_mm is None:
        missing = "room" if closure.express_mm2 is None else "turn"
        return ExpressStorage(
            None,
            (f"closure {closure.code} gives no express {missing}: uncut fibre of cable {cable.code} is not judged",),
        )
    notes: tuple[str, ...] = ()
    ribbon = _ribbon_mm2(cable)
    tube = cable.ribbons_per_tube * ribbon
    if cable.tube_od_mm is not None:
        tube = math.pi / 4 * cable.tube_od_mm**2
    elif express_tubes > 0:
        notes = (f"cable {cable.code} gives no tube diameter: its express tubes are counted as their ribbons alone",)
    turns = max(1, whole_up(exact(window_mm) / exact(closure.express_turn_mm)))
    return ExpressStorage((express_tubes * tube + express_ribbons * ribbon) * turns / fill, notes)


def _ribbon_mm2(cable: Cable) -> float:
    form: EndForm = "fibre" if cable.ribbon_form == "loose" else cable.ribbon_form
    return end_area_mm2(form, cable.ribbon_fibres, cable.pitch_um)

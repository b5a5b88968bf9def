"""Whether the closure's express storage holds what passes uncut, over the windows that the stored ends ask for."""

from __future__ import annotations

from dataclasses import dataclass

from service.domain.catalogue import Cable, Closure
from service.domain.plan import Reason
from service.domain.request import CableAtPoint
from service.domain.splices import Work
from service.planning.express import check_express
from service.planning.stowage import EndInTray, Stowage

CablesByTag = dict[str, tuple[CableAtPoint, Cable]]


@dataclass(frozen=True, slots=True)
class CableStowed:
    """The longest stored end of one cable over the trays that it enters, and the opening that this asks for (mm).

    ``remakes_left`` is of the end that affords the fewest.
    """

    end: EndInTray
    remakes_left: int
    opening_mm: float
    window_mm: float | None


def express_reasons(
    closure: Closure,
    work: Work,
    stowage: Stowage,
    stowed: dict[str, CableStowed],
    cables: CablesByTag,
    notes: list[str],
) -> list[Reason]:
    """Uncut tubes and ribbons of express cables must lie in the closure's express storage."""
    need = 0.0
    judged = False
    for lane in work.lanes:
        at_point, cable = cables[lane.cable]
        hung = at_point.hanging.window_mm if at_point.hanging is not None else None
        if not at_point.express or (lane.cable not in stowed and hung is None):
            if at_point.express and at_point.hanging is not None:
                notes.append(f"{lane.cable} hangs already and its window is not told: its uncut tubes are not judged")
            continue
        opened = sum(_fibres_in_tube(cable, tube) for tube in lane.opened)
        whole_tubes = sum(_fibres_in_tube(cable, tube) for tube in range(1, cable.tubes + 1)) - opened
        uncut_ribbons = -(-max(lane.express - whole_tubes, 0) // cable.ribbon_fibres)
        window = max(hung or 0.0, (stowed[lane.cable].window_mm or 0.0) if lane.cable in stowed else 0.0)
        part, said = check_express(
            closure, cable, lane.express_tubes, uncut_ribbons, window, stowage.rules.storage_fill
        )
        notes.extend(said)
        if part is not None:
            need += part
            judged = True
    have = closure.express_mm2
    if not judged or have is None or need <= have + 1e-9:
        return []
    text = f"uncut tubes and ribbons take {need:.1f} mm² of express storage; closure {closure.code} has {have:g} mm²"
    return [Reason("express", round(need, 1), have, "mm2", text)]


def _fibres_in_tube(cable: Cable, tube: int) -> int:
    size = cable.ribbon_fibres * cable.ribbons_per_tube
    return min(tube * size, cable.fibres) - (tube - 1) * size

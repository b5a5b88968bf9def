"""What room is left after the work, slot kind by slot kind."""

from __future__ import annotations

from collections.abc import Sequence

from service.domain.plan import ReserveHeld
from service.planning.demand import Demand
from service.planning.packing.problem import Packing, TrayKind


def reserve_held(demand: Demand, packing: Packing) -> tuple[ReserveHeld, ...]:
    """Free slots of each kind that the work uses: in the trays now, and in trays that can still be added."""
    problem = demand.problem
    assert problem is not None
    used_kinds = sorted({item.slot_kind for item in problem.items if item.slots})
    free = [0] * problem.slot_kinds
    for tray in packing.trays:
        kind = problem.kinds[tray.kind]
        for number, setting in enumerate(tray.banks):
            if setting is not None:
                free[setting] += kind.banks[number][setting]
        if tray.hanging is not None:
            for setting, taken in problem.hanging[tray.hanging].banks:
                if setting is not None:
                    free[setting] -= taken
        for piece in tray.pieces:
            item = problem.items[piece.item]
            free[item.slot_kind] -= piece.count * item.slots
    touched = {tray.hanging for tray in packing.trays if tray.hanging is not None}
    for place, hanging in enumerate(problem.hanging):
        if place not in touched:
            for number, (setting, taken) in enumerate(hanging.banks):
                if setting is not None:
                    free[setting] += problem.kinds[hanging.kind].banks[number][setting] - taken
    return tuple(
        ReserveHeld(demand.slot_kinds[kind], free[kind], demand.reserve[kind], _later(problem.kinds, packing, kind))
        for kind in used_kinds
    )


def _later(kinds: Sequence[TrayKind], packing: Packing, slot_kind: int) -> int:
    """Slots of a kind that the trays to be added later could give, all their banks set to it."""
    return sum(sum(bank[slot_kind] for bank in kinds[kind].banks) for kind in packing.later)

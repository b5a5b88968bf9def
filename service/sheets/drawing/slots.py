"""What is in the slots of a bank: splices of this visit, splices that lie already, slots taken, kept and free."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from service.domain.dossier import Dossier
from service.domain.installation import LaidSplice
from service.domain.plan import BankUse, PlacedSplice, PlannedTray

Place = tuple[int, int]
"""A bank by the position of its tray and its number."""


@dataclass(frozen=True, slots=True)
class BankSlots:
    """The slots of one bank, ascending.

    ``taken`` are in use by what the plan does not name: work that was there before, and parked ends. ``kept`` are free
    slots that the reserve needs, ``free`` the others.
    """

    splices: tuple[PlacedSplice | LaidSplice, ...]
    taken: tuple[int, ...]
    kept: tuple[int, ...]
    free: tuple[int, ...]


def slots_of(dossier: Dossier) -> Mapping[Place, BankSlots]:
    """The slots of all banks that are set.

    A plan says how many slots the reserve keeps, not which: the drawing marks the last free ones, which a crew fills
    last. What is taken without a splice to show for it is counted from the lowest slot (as the planner fills a bank).
    """
    found: dict[Place, BankSlots] = {}
    to_keep = _to_keep(dossier)
    for tray in sorted(dossier.plan.trays, key=lambda tray: tray.position, reverse=True):
        for bank in sorted(tray.banks, key=lambda bank: bank.bank, reverse=True):
            if bank.slot_kind is None:
                continue
            splices, taken, free = _shared(dossier, tray, bank)
            keep = min(to_keep.get(bank.slot_kind, 0), len(free))
            to_keep[bank.slot_kind] = to_keep.get(bank.slot_kind, 0) - keep
            parted = len(free) - keep
            found[tray.position, bank.bank] = BankSlots(splices, taken, free[parted:], free[:parted])
    return found


def _to_keep(dossier: Dossier) -> dict[str, int]:
    """Slots to mark, by kind; none where the reserve is room in the stack."""
    if dossier.plan.rules.reserve.in_ != "trays":
        return {}
    return {held.slot_kind: min(held.asked, held.free) for held in dossier.plan.reserve}


def _shared(
    dossier: Dossier, tray: PlannedTray, bank: BankUse
) -> tuple[tuple[PlacedSplice | LaidSplice, ...], tuple[int, ...], tuple[int, ...]]:
    here: list[PlacedSplice | LaidSplice] = [splice for splice in tray.splices if splice.bank == bank.bank]
    here += [splice for splice in dossier.lying_in(tray.position) if splice.bank == bank.bank]
    named = {splice.slot for splice in here}
    others = [slot for slot in range(1, bank.slots + 1) if slot not in named]
    parted = max(bank.used - len(named), 0)
    return tuple(sorted(here, key=lambda splice: splice.slot)), tuple(others[:parted]), tuple(others[parted:])

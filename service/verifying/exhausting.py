"""Whether certain trays cannot hold the bundles that stay whole: tried out, where it takes few enough steps."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from service.verifying.facts import Load
from service.verifying.measures import settings_of
from service.verifying.vessels import Vessel

_STATES = 200_000
"""States of banks that are looked at for one mix."""
_STEPS_A_MIX = 4_000

State = tuple[int, tuple[int, ...], int, int, str]
"""Of one tray: which vessel it is, slots taken by kind, channel and ribbon ends taken, its label (or '')."""


def cannot_give(trays: Sequence[Vessel], need: dict[str, int]) -> bool:
    """Whether the banks of all trays together, however set, never give so many slots of each kind."""
    kinds = sorted(kind for kind, slots in need.items() if slots)
    states = {tuple(need[kind] for kind in kinds)}
    banks = Counter(tuple(bank.get(kind, 0) for kind in kinds) for vessel in trays for bank in vessel.banks)
    looked_at = 0
    for bank, count in sorted(banks.items(), key=lambda pair: (sum(1 for n in pair[0] if n), pair)):
        for _ in range(count):
            states = {
                tuple(max(0, n - gives) if place == at else n for place, n in enumerate(state))
                for state, (at, gives) in product(states, [(at, n) for at, n in enumerate(bank) if n] or [(0, 0)])
            }
            if any(not any(state) for state in states):
                return False
            looked_at += len(states)
            if looked_at > _STATES:
                return False
    return any(kinds) and not any(not any(state) for state in states)


@dataclass(slots=True)
class Steps:
    """Steps that are left for trying out, over all mixes of one claim."""

    left: int


def cannot_hold(trays: Sequence[Vessel], whole: Sequence[Load], steps: Steps) -> bool:
    """Whether the bundles, each whole, do not go into the trays; False also where that takes too many steps to see."""
    kinds = sorted({load.slot_kind for load in whole if load.slot_kind is not None})
    loads = sorted(whole, key=lambda load: (-load.size, load.label or "", load.slot_kind or "", load.number))
    unlike = list(dict.fromkeys(trays_key(vessel) for vessel in trays))
    vessels: list[Vessel] = []
    for vessel in trays:
        if trays_key(vessel) not in {trays_key(known) for known in vessels}:
            vessels.append(vessel)
    settings = [settings_of(vessel, kinds) for vessel in vessels]
    if any(each is None for each in settings):
        return False
    start = tuple(sorted((unlike.index(trays_key(v)), (0,) * len(kinds), 0, 0, v.label or "") for v in trays))
    failed: set[tuple[int, tuple[State, ...]]] = set()
    least_left = max(0, steps.left - _STEPS_A_MIX)

    def laid(state: State, load: Load) -> State | None:
        number, taken, stored, ends, label = state
        vessel = vessels[number]
        share = vessel_share(vessel, load)
        if share is None or (label and load.label and label != load.label):
            return None
        stored, ends = stored + share * load.size, ends + load.ends * load.size
        if (vessel.storage is not None and stored > vessel.storage) or (
            vessel.ribbons is not None and ends > vessel.ribbons
        ):
            return None
        place = kinds.index(load.slot_kind or "")
        taken = (*taken[:place], taken[place] + load.size, *taken[place + 1 :])
        if not any(all(t <= g for t, g in zip(taken, given, strict=True)) for given in settings[number] or ()):
            return None
        return number, taken, stored, ends, label or load.label or ""

    def place(next_: int, states: tuple[State, ...]) -> bool:
        """Whether the loads from ``next_`` on go in, or the steps are used up."""
        if next_ == len(loads):
            return True
        if (next_, states) in failed:
            return False
        steps.left -= 1
        if steps.left < least_left:
            return True
        tried: set[State] = set()
        for at, state in enumerate(states):
            if state in tried:
                continue
            tried.add(state)
            filled = laid(state, loads[next_])
            if filled is not None and place(next_ + 1, tuple(sorted((*states[:at], filled, *states[at + 1 :])))):
                return True
        failed.add((next_, states))
        return False

    if len(loads) > 400:
        return False
    return not place(0, start)


def trays_key(vessel: Vessel) -> tuple[object, ...]:
    """What makes two trays alike."""
    banks = tuple(tuple(sorted(bank.items())) for bank in vessel.banks)
    return vessel.model, banks, vessel.storage, vessel.ribbons, vessel.label


def vessel_share(vessel: Vessel, load: Load) -> int | None:
    """What one splice takes of the tray's channel; None: it may not lie there."""
    return load.shares[vessel.model]

"""What a tray can still take before the plan lays anything into it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from service.verifying.facts import Facts, Found, Load, Model

UNLIMITED = 2**62


@dataclass(frozen=True, slots=True)
class Vessel:
    """A tray, new or as found: free slots by bank and kind, channel (µm²) and ribbon ends that are left, its label."""

    model: str
    banks: tuple[Mapping[str, int], ...]
    storage: int | None
    ribbons: int | None
    label: str | None = None

    def slots_of(self, kind: str) -> int:
        """Most slots of one kind, every bank set to it."""
        return sum(bank.get(kind, 0) for bank in self.banks)

    def takes(self, load: Load) -> int:
        """How many splices (or parked ends) of a load it takes while nothing else is laid into it."""
        share = load.shares[self.model]
        if share is None or (self.label is not None and load.label is not None and self.label != load.label):
            return 0
        most = UNLIMITED if load.slot_kind is None else self.slots_of(load.slot_kind)
        if share and self.storage is not None:
            most = min(most, self.storage // share)
        if load.ends and self.ribbons is not None:
            most = min(most, self.ribbons // load.ends)
        return most


def empty(model: Model) -> Vessel:
    """A new tray."""
    return Vessel(model.code, model.banks, model.storage, model.ribbons)


def as_found(tray: Found, model: Model) -> Vessel:
    """A hanging tray: a bank in use keeps its kind and has the slots that are left."""
    banks: list[Mapping[str, int]] = []
    for number, bank in enumerate(model.banks, start=1):
        if number in tray.banks:
            kind, used = tray.banks[number]
            banks.append({kind: bank.get(kind, 0) - used})
        else:
            banks.append(bank)
    return Vessel(
        model.code,
        tuple(banks),
        None if model.storage is None else max(0, model.storage - tray.storage),
        None if model.ribbons is None else max(0, model.ribbons - tray.ribbons),
        tray.label,
    )


def room_above(facts: Facts) -> tuple[int, dict[str, int]]:
    """The height that the hanging trays leave, and how many trays of each model can still be added by count alone."""
    room = facts.stack - sum(facts.models[tray.model].pitch for tray in facts.hanging)
    left = {code: model.most for code, model in facts.models.items()}
    for tray in facts.hanging:
        left[tray.model] -= 1
    return room, left


def vessels(facts: Facts) -> tuple[list[Vessel], dict[str, Vessel]]:
    """The hanging trays in their order, and a new tray of each model of which one can be added at all."""
    room, left = room_above(facts)
    hanging = [as_found(tray, facts.models[tray.model]) for tray in facts.hanging]
    return hanging, {
        code: empty(model) for code, model in facts.models.items() if left[code] > 0 and model.pitch <= room
    }


def most_in_empty(facts: Facts, load: Load) -> int:
    """The most of a load that an empty tray of any model takes, also one of which no more can be added."""
    return max((empty(model).takes(load) for model in facts.models.values()), default=0)


def most_in_one(facts: Facts, load: Load) -> int:
    """The most of a load that any one tray takes, a hanging one or one that can be added."""
    hanging, new = vessels(facts)
    return max((vessel.takes(load) for vessel in [*hanging, *new.values()]), default=0)
